package web

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"os"
	"strconv"
	"strings"

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
	return s.show(w, r, http.StatusOK, "review", shell{Title: "Case " + c.Name, Here: "/cases", Case: &c, Wide: true}, v)
}

func (s *Server) made() string {
	return fmt.Sprintf("Made by setdown %s, method %s.", s.cfg.Version, gait.Method)
}

// caseFormView is the first-visit form.
type caseFormView struct {
	Case     casebook.Case
	Age      string
	Strength int
	Rise     string
	Limit    [diary.MaxLimit + 1]int
	Tendon   [diary.MaxTendonLimit + 1]int
	Asks     []ask
}

// ask is one yes-or-no question of a form.
type ask struct{ Name, Text, Value string }

func (s *Server) caseForm(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	p := c.Person
	v := caseFormView{Case: c, Strength: -1, Rise: strconv.FormatFloat(100*c.Rules.WeeklyRise, 'g', 4, 64), Asks: []ask{
		{"diabetes", "Diabetes?", p.Diabetes.String()},
		{"reduced_feeling", "Less feeling in the foot or leg than usual?", p.ReducedFeeling.String()},
		{"earlier_bone_stress", "An earlier stress injury of a bone?", p.EarlierBoneStress.String()},
		{"low_energy_intake", "Eating less than the training needs?", p.LowEnergyIntake.String()},
		{"missed_periods", "Missed periods? (No where it does not apply.)", p.MissedPeriods.String()},
	}}
	if p.Age > 0 {
		v.Age = strconv.Itoa(p.Age)
	}
	if n, ok := p.LiftStrength.Value(); ok {
		v.Strength = n
	}
	for i := range v.Limit {
		v.Limit[i] = i
	}
	for i := range v.Tendon {
		v.Tendon[i] = i
	}
	return s.show(w, r, http.StatusOK, "form", shell{Title: "Person and rules: " + c.Name, Here: "/cases", Case: &c}, v)
}

func (s *Server) caseChange(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return formError(err)
	}
	today, now := s.day(c)
	err = s.cfg.Book.ChangeCase(r.Context(), c.ID, now, func(c *casebook.Case) error {
		f := form{r: r}
		f.readCase(c, today)
		return f.err
	})
	if err != nil {
		return formFault(err)
	}
	return s.next(w, r, "/cases/"+c.ID+"/form?done=saved")
}

// readCase takes the form over into the case.
func (f *form) readCase(c *casebook.Case, today diary.Date) {
	injured, err := casebook.ParseInjured(f.text("injured"))
	if err != nil {
		f.fail("%v", err)
	}
	c.Name, c.Injured, c.Onset = f.text("name"), casebook.Injured(injured.String()), f.date("onset")
	c.StrengthTest, c.Remarks, c.NextTest = f.text("strength_test"), f.text("remarks"), f.date("next_test")
	p := &c.Person
	if age := f.whole("age"); age != p.Age {
		p.Age, p.AgeOn = age, today
	}
	if p.Age > 120 {
		f.fail("the age %d is not one of a person", p.Age)
	}
	p.Diabetes, p.ReducedFeeling, p.EarlierBoneStress = f.answer("diabetes"), f.answer("reduced_feeling"), f.answer("earlier_bone_stress")
	p.LowEnergyIntake, p.MissedPeriods = f.answer("low_energy_intake"), f.answer("missed_periods")
	if s := f.score("lift_strength"); s != p.LiftStrength {
		p.LiftStrength, p.LiftStrengthOn = s, today
	}
	if v, ok := p.LiftStrength.Value(); ok && v > 5 {
		f.fail("the strength is graded from 0 to 5")
	}
	if f.text("cautions_read") == "yes" && p.CautionsRead.IsZero() {
		p.CautionsRead = today
	}
	f.readDiagnosis(p)
	c.Rules.Limit, c.Rules.TendonLimit, c.Rules.SettledLimit = f.whole("limit"), f.whole("tendon_limit"), f.whole("settled_limit")
	c.Rules.WeeklyRise = f.plain("weekly_rise") / 100
}

// readDiagnosis adds what a clinician named; it is never made here.
func (f *form) readDiagnosis(p *diary.Person) {
	name := f.text("diagnosis")
	if name == "" {
		return
	}
	kind, err := diary.ParseKind(f.text("diagnosis_kind"))
	if err != nil {
		f.fail("%v", err)
	}
	by, on := f.text("diagnosis_by"), f.date("diagnosis_on")
	if by == "" || on.IsZero() {
		f.fail("a diagnosis needs the clinician who made it and the day")
	}
	p.Diagnoses = append(p.Diagnoses, diary.Diagnosis{Name: name, Kind: kind, By: by, On: on})
}

// caseExport sends a case as an archive; it is made whole first.
func (s *Server) caseExport(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	name, err := s.tempName()
	if err != nil {
		return err
	}
	f, err := s.cfg.Folder.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	defer s.cfg.Folder.Remove(name)
	defer f.Close()
	if err := s.cfg.Book.Export(r.Context(), c.ID, f, s.cfg.Now()); err != nil {
		return err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", `attachment; filename="case.zip"`)
	_, err = io.Copy(w, f)
	return ignoreGone(err)
}

func (s *Server) tempName() (string, error) {
	t, err := s.token()
	return incoming + "/" + t, err
}

func (s *Server) caseImport(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, s.limits.UploadBytes)
	parts, err := r.MultipartReader()
	if err != nil {
		return err
	}
	as := ""
	for {
		p, err := parts.NextPart()
		if err != nil {
			return bad("no archive was chosen")
		}
		if p.FormName() == "as" {
			text, err := io.ReadAll(io.LimitReader(p, longestText))
			if err != nil {
				return formError(err)
			}
			as = strings.TrimSpace(strings.ToValidUTF8(string(text), ""))
		}
		if p.FileName() == "" {
			continue
		}
		name, err := s.tempName()
		if err != nil {
			return err
		}
		defer s.cfg.Folder.Remove(name)
		n, err := s.writeNew(name, p)
		if err != nil {
			return uploadError(err, s.limits)
		}
		f, err := s.cfg.Folder.Open(name)
		if err != nil {
			return err
		}
		defer f.Close()
		c, err := s.cfg.Book.Import(r.Context(), f, n, as, s.cfg.Now())
		if err != nil {
			return formFault(err)
		}
		return s.next(w, r, "/cases/"+c.ID+"?done=import")
	}
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
