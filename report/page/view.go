package page

import (
	"fmt"
	"html/template"
	"strings"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/event"
	"setdown/gait/session"
	"setdown/report/figure"
	"setdown/signal/recording"
)

// view is everything the template shows, as text.
type view struct {
	Prefix   string
	Style    template.CSS
	Kicker   string
	Reply    Reply
	Limits   string
	Facts    []fact
	Heads    []head
	DiffHead string
	Rows     []row
	// Definitions says what each measure of the table is.
	Definitions []fact
	Pictures    []pictures
	Drifts      []drift
	Changes     []string
	Landing     []string
	Withheld    []gait.Withheld
	Remarks     []remarkRow
	// MoreRemarks counts those that are in session.json only.
	MoreRemarks int
	// Methods says how the table's numbers were made.
	Methods      []fact
	Choices      []gait.Choice
	Inputs       []inputRow
	Cautions     []Caution
	CautionNotes []string
	Made         string
}

// fact is a short "name: value" line.
type fact struct{ Name, Value string }

// head is the heading of a side's column with the mark its pictures use.
type head struct {
	Name    string
	Injured bool
	Right   bool
}

// words are the head in plain text.
func (h head) words() string {
	if h.Injured {
		return h.Name + ", injured"
	}
	return h.Name
}

// pictures is a group of figures with a heading.
type pictures struct {
	Title   string
	Figures []picture
}

type picture struct {
	Key, Title, Caption string
	// Wide pictures have a row for themselves.
	Wide bool
	SVG  template.HTML
}

func newView(res *gait.Result, prefix string) view {
	v := view{Prefix: prefix, Style: template.CSS(style), Reply: Answer(res), Limits: Limits, Kicker: kicker(res),
		Withheld: res.Withheld, Choices: res.Choices, Cautions: Cautions(), CautionNotes: CautionNotes(),
		Facts: facts(res), Inputs: inputRows(res.Inputs), Pictures: pictureGroups(res, prefix),
		Made: fmt.Sprintf("Made by setdown %s, method %s. The same numbers are in session.json, every single step in steps.csv.", res.Version, res.Method)}
	v.Remarks, v.MoreRemarks = remarkRows(Beside(res))
	v.fillTable(res)
	v.Methods = methods(res)
	v.fillWithinRun(res)
	v.fillLanding(res)
	return v
}

// kicker says in one line what was recorded, when, and which side is injured.
func kicker(res *gait.Result) string {
	var parts []string
	if s := res.Session; s != nil && s.Gait != event.GaitUnknown {
		parts = append(parts, capital(s.Gait.String()))
	}
	if !res.Start.IsZero() {
		parts = append(parts, res.Start.Format("2 January 2006, 15:04 MST"))
	}
	if res.Asymmetry != nil || res.Injured != asymmetry.InjuredUnknown {
		parts = append(parts, map[asymmetry.Injured]string{
			asymmetry.InjuredUnknown: "injured side not named", asymmetry.InjuredLeft: "left side injured",
			asymmetry.InjuredRight: "right side injured", asymmetry.InjuredBoth: "both sides injured"}[res.Injured])
	}
	return strings.Join(parts, " · ")
}

// facts are the counts that stand above the table.
func facts(res *gait.Result) []fact {
	s := res.Session
	if s == nil {
		return nil
	}
	var out []fact
	if s.Cadence.N > 0 {
		value := perMinute(s.Cadence.Center) + " steps a minute, both feet"
		if s.Cadence.HasInterval() {
			value += fmt.Sprintf(" (%s to %s)", perMinute(s.Cadence.Low), perMinute(s.Cadence.High))
		}
		out = append(out, fact{"Step rate", value})
	}
	for _, side := range []*session.Side{s.Left, s.Right} {
		if side == nil {
			continue
		}
		value := fmt.Sprintf("%d found, %d used", side.Steps, side.Used)
		if side.Rearfoot+side.Midfoot+side.Forefoot > 0 {
			value += fmt.Sprintf("; landing on the rearfoot %d, midfoot %d, forefoot %d times", side.Rearfoot, side.Midfoot, side.Forefoot)
		}
		for i, l := range side.LeftOut {
			word := "; left out "
			if i > 0 {
				word = ", "
			}
			value += fmt.Sprintf("%s%d: %s", word, l.Steps, l.Reason)
		}
		out = append(out, fact{"Steps, " + side.Side.String(), value})
	}
	return out
}

// pictureGroups puts the figures under their headings.
func pictureGroups(res *gait.Result, prefix string) []pictures {
	titles := map[figure.Group]string{figure.Lowering: "The lowering of the forefoot", figure.Spread: "All steps by size",
		figure.Along: "Along the session", figure.Raw: "The signal itself"}
	var out []pictures
	var last figure.Group
	for _, f := range figure.All(res, prefix) {
		if f.Group != last {
			out = append(out, pictures{Title: titles[f.Group]})
			last = f.Group
		}
		g := &out[len(out)-1]
		// The SVG is made by package figure, which escapes its texts.
		g.Figures = append(g.Figures, picture{f.Key, f.Title, f.Caption, f.Key == figure.BothKey, template.HTML(f.SVG)})
	}
	return out
}

// sidesInOrder returns the sides in the order of the table's columns: the
// minuend of the difference first.
func sidesInOrder(res *gait.Result) []recording.Side {
	order := []recording.Side{recording.Left, recording.Right}
	if res.Asymmetry != nil && len(res.Asymmetry.Comparisons) > 0 {
		c := res.Asymmetry.Comparisons[0]
		order = []recording.Side{c.First, c.Second}
	}
	var out []recording.Side
	for _, s := range order {
		if res.Session != nil && res.Session.Of(s) != nil {
			out = append(out, s)
		}
	}
	return out
}
