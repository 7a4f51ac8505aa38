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
// pain and running, strengthening, the writer's own words. It speaks of the
// runner, never to them.
func letterText(l Letter) []string {
	r := l.Review
	out := []string{fmt.Sprintf("%s (a pseudonym), %s, onset %s.", r.Name, injuredWords(r.Injured), dayWords(r.Onset))}
	if n := len(r.Sessions); n > 0 {
		first, last := dayWords(r.Sessions[0].Date), dayWords(r.Sessions[n-1].Date)
		when := "from " + first + " to " + last
		if first == last {
			when = "on " + first
		}
		out = append(out, fmt.Sprintf("%s with foot sensors %s. %s: %s", count(n, "session"), when, capital(r.Follow.Word.String()), sentence(r.Follow.Because)))
	} else {
		out = append(out, "No session with sensors was recorded.")
	}
	out = append(out, letterDiary(r), letterAdvice(r.Advice))
	if next := letterExercises(r); next != "" {
		out = append(out, next)
	}
	if l.Note != "" {
		out = append(out, l.Note)
	}
	return out
}

// count writes a number with its noun.
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// letterDiary sums up the diary.
func letterDiary(r Review) string {
	runs, most := 0, -1
	for _, e := range diary.Current(r.Log) {
		if e.Run {
			runs++
		}
		for _, s := range []diary.Score{e.During, e.After, e.Morning} {
			if v, ok := s.Value(); ok {
				most = max(most, v)
			}
		}
	}
	text := "The diary has no run."
	if runs > 0 {
		text = "The diary has " + count(runs, "run") + "."
	}
	if most < 0 {
		return text + " No pain score was entered."
	}
	return text + fmt.Sprintf(" The highest pain entered is %d/10.", most)
}

// letterWords are the advice's words as they are told to a colleague.
var letterWords = map[diary.Word]string{
	diary.ClinicianFirst: "no run before a clinician has been seen",
	diary.StepBack:       "step back, less running than last time",
	diary.Hold:           "hold, no more running than last time",
	diary.WithinRules:    "within the runner’s own pain rules, which is no clearance",
}

// letterRules say why, for a colleague. A rule that is not here speaks for
// itself in its own sentence.
var letterRules = map[string]string{
	"red-flag":            "a red flag was entered",
	"slap-unexamined":     "slapping was noticed and no clinician has recorded that it is known",
	"slap-known":          "slapping that is known was noticed within the last 7 days",
	"severe-after-night":  "severe pain was still there the next morning",
	"severe-pain":         "severe pain was entered with a run or an exercise",
	"exercise-pain":       "pain was over the limit with an exercise of the last 7 days",
	"tender-spot":         "a spot hurt when pressed",
	"severe-stiffness":    "severe morning stiffness was entered",
	"note":                "a note speaks of a sign that the checklist asks about",
	"bone":                "a diagnosis of bone is recorded and no release after it",
	"lift-strength":       "lifting the foot was graded 2 of 5 or less",
	"laces-did-not-help":  "pain across the front of the ankle was not gone after two runs with looser laces",
	"over-limit-often":    "pain was over the limit in three runs or more of the last 28 days",
	"over-limit":          "pain was over the limit",
	"weekly-rise-of-pain": "pain or stiffness rose from one week to the next",
	"painkillers":         "painkillers were taken in the last 14 days",
	"reduced-feeling":     "feeling in the leg or foot is reduced",
	"diabetes":            "diabetes: pain is no safe guide",
	"under-18":            "under 18 years",
	"earlier-bone-stress": "an earlier bone stress injury",
	"low-energy":          "eating less than running uses",
	"missed-periods":      "missed periods",
	"weekly-rise":         "the running of the week rose beyond the limit",
	"first-week":          "there is no running in the three weeks before the last to count a rise from",
	"uncounted-running":   "the running of the last 28 days cannot be added up",
	"control-worsening":   "the recordings show control of lowering getting worse",
	"no-run-to-judge":     "there is no run of the last 14 days in the diary to judge",
	"missing-pages":       "runs are missing in the diary",
	"missing-fields":      "entries of the diary are incomplete",
	"missing-form":        "the first-visit form is incomplete",
	"within":              "every run of the last 14 days stayed within the pain limit, with nothing missing",
}

// letterReasons is how many reasons a letter has room for.
const letterReasons = 3

// letterAdvice tells what the pain rules say and why.
func letterAdvice(a diary.Advice) string {
	words := letterWords[a.Word]
	if a.Word > diary.ClinicianFirst && !a.Next.Allowed {
		words = "no run until what is missing is entered"
	}
	text := fmt.Sprintf("By the pain rules, as of %s: %s", dayWords(a.Today), words)
	if a.Word == diary.ClinicianFirst {
		text += " (" + a.Tier.String() + ")"
	}
	var why []string
	for _, r := range a.Reasons {
		words, ok := letterRules[r.Rule]
		if !ok {
			words = strings.TrimSuffix(r.Text, ".")
		}
		if n := len(r.Entries); n > 0 && !r.Missing && a.Word < diary.WithinRules {
			e := r.Entries[n-1]
			words += fmt.Sprintf(" (%s: %s %s)", dayWords(e.Date), e.Field, e.Value)
		}
		if len(why) < letterReasons {
			why = append(why, words)
		}
	}
	return text + ". Because: " + strings.Join(why, "; ") + "."
}

// letterExercises tells where the programme stands.
func letterExercises(r Review) string {
	var out []string
	for _, n := range r.Next {
		if n.Pause {
			out = append(out, n.Drill.String()+"s paused")
			continue
		}
		out = append(out, fmt.Sprintf("%ss, next %s", n.Drill, n.Stage))
	}
	if out == nil {
		return ""
	}
	return "Strengthening: " + strings.Join(out, "; ") + "."
}
