package web

import (
	"bytes"
	"html/template"
	"net/http"

	"setdown/gait/diary"
	"setdown/report/casebook"
	report "setdown/report/page"
)

// letterView is the page on which a letter is written and a case is closed.
type letterView struct {
	Case         casebook.Case
	Today, On    diary.Date
	To, By, Note string
	// Closed is the day of closing in words.
	Closed  string
	Letter  template.HTML
	Problem *problem
}

// letterPage shows the letter as it would be today.
func (s *Server) letterPage(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	today, _ := s.day(c)
	v := &letterView{Case: c, Today: today, On: today, By: c.ClosedBy, Note: c.ClosedNote}
	if !c.Closed.IsZero() {
		v.On = c.Closed
	}
	return s.showLetter(w, r, http.StatusOK, v)
}

// letterSave shows the letter with the words that were filled in, sends it as a
// file, or closes the case with it.
func (s *Server) letterSave(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	today, now := s.day(c)
	f := form{r: r}
	v := &letterView{Case: c, Today: today, On: f.date("on"), To: f.text("to"), By: f.text("by"), Note: f.text("note")}
	if v.On.IsZero() {
		v.On = today
	}
	if v.On.After(today) {
		f.fail("the day of the letter, %s, lies after today", dayWords(v.On))
	}
	if f.err != nil {
		text, hint := explain(f.err)
		v.On, v.Problem = today, &problem{Text: text, Hint: hint}
		return s.showLetter(w, r, http.StatusBadRequest, v)
	}
	switch f.text("do") {
	case "file":
		return s.letterFile(w, r, v)
	case "close":
		if err := s.cfg.Book.CloseCase(r.Context(), c.ID, v.On, v.By, v.Note, now); err != nil {
			return formFault(err)
		}
		if v.Case, err = s.findCase(r); err != nil {
			return err
		}
	}
	return s.showLetter(w, r, http.StatusOK, v)
}

// write makes the letter from the case as of its day.
func (s *Server) write(r *http.Request, v *letterView) (report.Letter, error) {
	data, err := s.cfg.Book.Review(r.Context(), v.Case.ID, v.On, s.made())
	return report.Letter{Review: data, On: v.On, By: v.By, To: v.To, Note: v.Note}, err
}

func (s *Server) letterFile(w http.ResponseWriter, r *http.Request, v *letterView) error {
	letter, err := s.write(r, v)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := report.WriteLetter(&b, letter); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="letter.html"`)
	_, err = b.WriteTo(w)
	return ignoreGone(err)
}

func (s *Server) showLetter(w http.ResponseWriter, r *http.Request, status int, v *letterView) error {
	letter, err := s.write(r, v)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := report.WriteLetterBody(&b, letter); err != nil {
		return err
	}
	v.Letter = template.HTML(b.String())
	sh := shell{Title: "Letter: " + v.Case.Name, Here: "/cases", Case: &v.Case, Wide: true}
	if !v.Case.Closed.IsZero() {
		v.Closed = dayWords(v.Case.Closed)
	}
	if r.PostFormValue("do") == "close" && v.Problem == nil {
		sh.Done = notices["closed"]
	}
	return s.show(w, r, status, "letter", sh, v)
}

// reopen opens a closed case again.
func (s *Server) reopen(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	_, now := s.day(c)
	err = s.cfg.Book.ChangeCase(r.Context(), c.ID, now, func(c *casebook.Case) error {
		c.Closed, c.ClosedBy, c.ClosedNote = diary.Date{}, "", ""
		return nil
	})
	if err != nil {
		return formFault(err)
	}
	return s.next(w, r, "/cases/"+c.ID+"?done=opened")
}
