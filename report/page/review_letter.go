package page

import (
	"fmt"
	"html/template"
	"strings"

	"setdown/gait/diary"
	"setdown/report/figure"
)

// letterView is what the letter's template shows.
type letterView struct {
	Title, Kicker, Headline, To, Place, Limits, Landing, Made string
	Style                                                     template.CSS
	Paragraphs                                                []string
	Picture                                                   template.HTML
	PictureCaption                                            string
	Numbers, Form                                             []fact
	Cautions                                                  []Caution
	CautionNotes                                              []string
}

// newLetterView puts the case into one page of plain sentences.
func newLetterView(l Letter) letterView {
	r := l.Review
	v := letterView{Title: "Letter: " + r.Name, Kicker: kickerOf(r), Headline: "Follow-up of forefoot lowering: " + r.Name, To: l.To,
		Limits: Limits, Landing: LandingCaution, Made: r.Made, Style: template.CSS(style + reviewStyle), Cautions: Cautions(),
		Numbers: numbersOf(r), Form: formOf(r)}
	for _, note := range CautionNotes() {
		if note != LandingCaution { // it stands with the limits
			v.CautionNotes = append(v.CautionNotes, note)
		}
	}
	v.Place = dayWords(l.On)
	if l.By != "" {
		v.Place += ", " + l.By
	}
	v.Paragraphs = letterText(l)
	if f, ok := figure.Timeline(timeline(r), "letter-"); ok {
		v.Picture, v.PictureCaption = template.HTML(f.SVG), f.Caption
	}
	return v
}

// letterText tells the case in order: who, what was recorded, what it shows,
// pain and running, strengthening, the writer's own words.
func letterText(l Letter) []string {
	r := l.Review
	out := []string{fmt.Sprintf("%s (a pseudonym), %s, onset %s.", r.Name, injuredWords(r.Injured), dayWords(r.Onset))}
	if n := len(r.Sessions); n > 0 {
		out = append(out, fmt.Sprintf("%d sessions with foot sensors from %s to %s. %s: %s", n, dayWords(r.Sessions[0].Date), dayWords(r.Sessions[n-1].Date),
			capital(r.Follow.Word.String()), sentence(r.Follow.Because)))
	} else {
		out = append(out, "No session with sensors was recorded.")
	}
	entries := diary.Current(r.Log)
	runs, most := 0, 0
	for _, e := range entries {
		if e.Run {
			runs++
		}
		for _, s := range []diary.Score{e.During, e.After, e.Morning} {
			if v, ok := s.Value(); ok {
				most = max(most, v)
			}
		}
	}
	out = append(out, fmt.Sprintf("The diary has %d runs; the highest pain entered is %d/10. By the pain rules of %s the word is “%s”: %s", runs, most, dayWords(r.Advice.Today), r.Advice.Word, sentence(r.Advice.Reasons[0].Text)))
	var next []string
	for _, n := range r.Next {
		next = append(next, n.Text)
	}
	out = append(out, "Strengthening: "+strings.Join(next, " "))
	if l.Note != "" {
		out = append(out, l.Note)
	}
	return out
}
