package page

import (
	_ "embed"
	"html/template"
	"io"
	"strings"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/report/figure"
)

//go:embed review.gohtml
var reviewSource string

//go:embed review.css
var reviewStyle string

// ReviewStyle is the style sheet that the review and the letter add to Style.
func ReviewStyle() string { return reviewStyle }

// DoubtMark begins a session's remark that may make a number wrong.
const DoubtMark = "doubt: "

// ReviewSession is one session as the review shows it.
type ReviewSession struct {
	recovery.Session
	Note    string
	Remarks []string
	// Left and Right are the mean toe-down rates in deg/s, sampled as
	// step.Curve is; nil where they were not kept.
	Left, Right []float64
}

// Review is a whole case as of a day; Write shows it without computing anything
// that is not here.
type Review struct {
	// Name is the pseudonym.
	Name    string
	Injured asymmetry.Injured
	Onset   diary.Date
	Person  diary.Person
	Log     diary.Log
	Advice  diary.Advice
	Next    []diary.NextExercise
	Follow  recovery.Result
	// Sessions in order of time.
	Sessions []ReviewSession
	NextTest diary.Date
	Remarks  string
	Strength string
	// Invented marks a demo case.
	Invented bool
	// Made says what made the page, for example "setdown 0.1.0, method 1".
	Made string
}

// WriteReview writes the review page of a case: one screen for the runner, then
// the physio's part. The same case and day give the same bytes.
func WriteReview(w io.Writer, r Review) error {
	return executeReview(w, "review-page", newReviewView(r, ""))
}

// WriteReviewBody writes the content of the page without head and style, for a
// page of another program. Prefix makes ids unique where several stand on one.
func WriteReviewBody(w io.Writer, r Review, prefix string) error {
	return executeReview(w, "review", newReviewView(r, prefix))
}

// Letter is the one-page letter at the closing of a case, or for a colleague.
type Letter struct {
	Review
	On   diary.Date
	By   string
	To   string
	Note string
}

// WriteLetter writes the letter as a page that prints on one sheet.
func WriteLetter(w io.Writer, l Letter) error {
	return executeReview(w, "letter-page", newLetterView(l))
}

// WriteLetterBody writes the content of the letter without head and style, for a
// page of another program.
func WriteLetterBody(w io.Writer, l Letter) error {
	return executeReview(w, "letter", newLetterView(l))
}

func executeReview(w io.Writer, name string, data any) error {
	t, err := template.New("").Parse(reviewSource)
	if err != nil {
		return err
	}
	var b strings.Builder
	if err := t.ExecuteTemplate(&b, name, data); err != nil {
		return err
	}
	_, err = io.WriteString(w, b.String())
	return err
}

// reviewView is what the template ranges over.
type reviewView struct {
	Prefix, Title, Kicker, Headline, Sub, Limits string
	Style                                        template.CSS
	Urgent                                       bool
	Run, RunFrom                                 string
	Reasons                                      []reasonView
	Laces                                        string
	Exercises                                    []exerciseView
	Control, Because, Settle                     string
	NextTest                                     string
	Pictures                                     []reviewPicture
	Numbers                                      []fact
	Heads                                        []string
	Rows                                         []reviewRow
	Form                                         []fact
	Notes                                        []string
	Remarks                                      []string
	Cautions                                     []Caution
	CautionNotes                                 []string
	Diary                                        []diaryRow
	Made                                         string
}

type reasonView struct {
	Text    string
	Missing bool
	Entries []string
}

type exerciseView struct{ Name, Dose, Text string }

type reviewPicture struct {
	figure.Figure
	Draw template.HTML
}

// reviewRow is a session in the table; Differs says why it is not pooled.
type reviewRow struct {
	Date, Steps string
	Cells       []string
	Conditions  string
	Differs     string
	Method      string
	Note        string
}

type diaryRow struct{ Date, During, After, Morning, Run, Other string }
