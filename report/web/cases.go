package web

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"net/http"

	"modernc.org/sqlite"

	"setdown/gait"
	"setdown/gait/diary"
	"setdown/report/casebook"
	report "setdown/report/page"
)

// casesView is the list of cases.
type casesView struct{ Cases []caseLine }

type caseLine struct {
	casebook.Case
	Sessions int
	Last     string
}

func (s *Server) cases(w http.ResponseWriter, r *http.Request) error {
	all, err := s.cfg.Book.Cases(r.Context())
	if err != nil {
		return err
	}
	var v casesView
	for _, c := range all {
		sessions, err := s.cfg.Book.Sessions(r.Context(), c.ID)
		if err != nil {
			return err
		}
		line := caseLine{Case: c, Sessions: len(sessions)}
		if n := len(sessions); n > 0 {
			line.Last = dayWords(sessions[n-1].Form.Date)
		}
		v.Cases = append(v.Cases, line)
	}
	return s.show(w, r, http.StatusOK, "cases", shell{Title: "Cases", Here: "/cases"}, v)
}

func (s *Server) caseNew(w http.ResponseWriter, r *http.Request) error {
	f := form{r: r}
	name := f.text("name")
	injured, err := casebook.ParseInjured(r.PostFormValue("injured"))
	switch {
	case f.err != nil:
		return f.err
	case name == "":
		return bad("a case needs a name: choose a pseudonym, not the person's name")
	case err != nil:
		return bad("say which side is injured: it is asked once for each person")
	}
	c, err := s.cfg.Book.NewCase(r.Context(), casebook.Case{Name: name, Injured: casebook.Injured(injured.String())}, s.cfg.Now())
	if err != nil {
		return formFault(err)
	}
	return s.next(w, r, "/cases/"+c.ID+"/form")
}

// formFault marks what the casebook found wrong with a form as the form's
// fault, unless it is one of the casebook's own.
func formFault(err error) error {
	var disk *sqlite.Error
	if err == nil || statusOf(err) != http.StatusInternalServerError || errors.As(err, &disk) {
		return err
	}
	return bad("%s", err)
}

// reviewView is the page of a case.
type reviewView struct {
	Case     casebook.Case
	Review   template.HTML
	Missing  []link
	Sessions []sessionLine
	Old      int // sessions of an older method
}

type sessionLine struct {
	ID, Day, Note, Path string
	Files               []string
}

func (s *Server) review(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	today, _ := s.day(c)
	data, err := s.cfg.Book.Review(r.Context(), c.ID, today, s.made())
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := report.WriteReviewBody(&b, data, ""); err != nil {
		return err
	}
	v := reviewView{Case: c, Review: template.HTML(b.String())}
	if data.Advice.Word != diary.ClinicianFirst { // nothing stands above that
		v.Missing = missingLinks(c, data.Advice)
	}
	sessions, err := s.cfg.Book.Sessions(r.Context(), c.ID)
	if err != nil {
		return err
	}
	for i := len(sessions) - 1; i >= 0; i-- {
		x := sessions[i]
		line := sessionLine{ID: x.ID, Day: dayWords(x.Form.Date), Note: x.Form.Note, Path: sessionPath(c.ID, x.ID)}
		for _, f := range x.Files {
			line.Files = append(line.Files, f.Name)
		}
		v.Sessions = append(v.Sessions, line)
	}
	return s.show(w, r, http.StatusOK, "review", shell{Title: "Case " + c.Name, Here: "/cases", Case: &c, Tab: "review", Wide: true}, v)
}

func (s *Server) made() string {
	return fmt.Sprintf("Made by setdown %s, method %s.", s.cfg.Version, gait.Method)
}

func (s *Server) caseDelete(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	if r.PostFormValue("sure") != "yes" {
		return bad("tick the box beside the button to delete the case")
	}
	sessions, err := s.cfg.Book.Sessions(r.Context(), c.ID)
	if err != nil {
		return err
	}
	for _, x := range sessions {
		if err := s.results.remove(keyOf(c.ID, x.ID)); err != nil {
			return err
		}
	}
	if err := s.cfg.Book.Delete(r.Context(), c.ID); err != nil {
		return err
	}
	return s.next(w, r, "/cases?done=deleted")
}
