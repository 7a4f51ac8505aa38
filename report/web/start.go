package web

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"setdown/gait/diary"
	"setdown/report/casebook"
	report "setdown/report/page"
)

// day is today for a case, in the zone of the person, with the time. The
// invented case is told as of its own day.
func (s *Server) day(c casebook.Case) (diary.Date, time.Time) {
	if c.Invented {
		d := casebook.DemoToday
		return d, time.Date(d.Year, d.Month, d.Day, 20, 0, 0, 0, time.UTC)
	}
	now := s.cfg.Now()
	if zone, err := time.LoadLocation(c.Zone); err == nil && c.Zone != "" {
		now = now.In(zone)
	}
	return diary.DateOf(now), now
}

// startView is the first page.
type startView struct {
	Cases   []startCase
	Waiting []*intake
	Demo    bool
	// CaseID is the case that dropped files are for.
	CaseID string
}

// startCase is a case with what is open in it.
type startCase struct {
	casebook.Case
	Reminder string
	Entry    string // the address that the reminder leads to
}

func (s *Server) start(w http.ResponseWriter, r *http.Request) error {
	cases, err := s.cfg.Book.Cases(r.Context())
	if err != nil {
		return err
	}
	v := startView{Waiting: s.intakes.waiting(), Demo: true, CaseID: r.URL.Query().Get("case")}
	for _, c := range cases {
		v.Demo = v.Demo && c.Name != casebook.DemoName
		if !c.Closed.IsZero() {
			continue
		}
		sc, err := s.remind(r.Context(), c)
		if err != nil {
			return err
		}
		v.Cases = append(v.Cases, sc)
	}
	return s.show(w, r, http.StatusOK, "start", shell{Title: "Start", Here: "/", Scripts: []string{"upload.js"}}, v)
}

// remindDays is how long a missing entry of the morning after is asked for.
const remindDays = 4

// remind looks for a run whose next morning is not in the diary.
func (s *Server) remind(ctx context.Context, c casebook.Case) (startCase, error) {
	out := startCase{Case: c}
	log, err := s.cfg.Book.Diary(ctx, c.ID)
	if err != nil {
		return out, err
	}
	today, _ := s.day(c)
	for _, e := range diary.Current(log) {
		_, known := e.Morning.Value()
		if days := today.Since(e.Date); e.Run && !known && days >= 1 && days <= remindDays {
			out.Reminder = fmt.Sprintf("How was the leg on the morning after the run of %s?", dayWords(e.Date))
			out.Entry = fmt.Sprintf("/cases/%s/diary?entry=%s", c.ID, e.ID)
		}
	}
	return out, nil
}

// dayWords writes a day as people read it.
func dayWords(d diary.Date) string {
	if d.IsZero() {
		return "an unknown day"
	}
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC).Format("2 January 2006")
}

// helpView is the page on when to get help and how to use the app.
type helpView struct {
	Cautions []report.Caution
	Notes    []string
}

func (s *Server) help(w http.ResponseWriter, r *http.Request) error {
	return s.show(w, r, http.StatusOK, "help", shell{Title: "Help", Here: "/help"},
		helpView{report.Cautions(), report.CautionNotes()})
}

// settingsView is the page of settings.
type settingsView struct {
	Version, Book string
	Exposed       []string
	Limits        Limits
	MB            int64
}

func (s *Server) settings(w http.ResponseWriter, r *http.Request) error {
	return s.show(w, r, http.StatusOK, "settings", shell{Title: "Settings", Here: "/settings", Scripts: []string{"look.js"}},
		settingsView{s.cfg.Version, s.cfg.Book.Path(), s.cfg.Exposed, s.limits, s.limits.UploadBytes >> 20})
}
