package trial

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"

	"setdown/gait/estimate"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/report/table"
	"setdown/signal/recording"
)

// MethodsName is the name of the methods paragraph.
const MethodsName = "methods.md"

// methods gathers what the recordings' sessions say of how they were made.
type methods struct {
	sessions, sides int
	steps, used     int
	// choices counts, for each decision, how often each answer was given.
	choices map[string]answers
	order   []string
	// intervals counts the ways in which intervals were made.
	intervals answers
	// powers holds, for each measure with a verdict, the power of each
	// comparison.
	powers map[string][]float64
}

// add takes one session in.
func (m *methods) add(r *result) {
	if m.choices == nil {
		m.choices, m.intervals, m.powers = map[string]answers{}, answers{}, map[string][]float64{}
	}
	m.sessions++
	for _, c := range recorded(r) {
		m.sides++
		m.steps += c.Found
		m.used += c.Used
	}
	labels := make([]string, 0, len(r.Inputs))
	for _, in := range r.Inputs {
		labels = append(labels, in.Label)
	}
	for _, c := range r.Choices {
		m.choice(c.What, c.Value, labels)
	}
	m.estimates(r)
}

// estimates takes in how numbers were made.
func (m *methods) estimates(r *result) {
	for i, metric := range step.Catalogue() {
		if d, ok := r.Difference.Get(metric.Key); ok && d.Method != "" {
			m.intervals.add(d.Method)
		}
		if p := r.powers[i]; !math.IsNaN(p) {
			m.powers[metric.Key] = append(m.powers[metric.Key], p)
		}
	}
}

// choice counts one decision without the input's name.
func (m *methods) choice(what, value string, labels []string) {
	for _, l := range labels {
		what = strings.TrimPrefix(what, l+": ")
	}
	if m.choices[what] == nil {
		m.choices[what] = answers{}
		m.order = append(m.order, what)
	}
	m.choices[what].add(value)
}

// answers counts texts that are alike but for their numbers, by the text with # for
// each number.
type answers map[string]*answer

// answer is how often a text was given; numbers has for each # the number, or # again
// where it differs.
type answer struct {
	times   int
	numbers []string
}

// add counts a text.
func (a answers) add(text string) {
	key, numbers := words(text)
	if a[key] == nil {
		a[key] = &answer{numbers: numbers}
	}
	kept := a[key]
	kept.times++
	for i, n := range numbers {
		if kept.numbers[i] != n {
			kept.numbers[i] = "#"
		}
	}
}

// filled is the text with the numbers that are the same in all.
func (a *answer) filled(key string) string {
	parts := strings.Split(key, "#")
	var b strings.Builder
	for i, part := range parts {
		b.WriteString(part)
		if i < len(a.numbers) {
			b.WriteString(a.numbers[i])
		}
	}
	return b.String()
}

// words parts a text from its numbers, so that equal ways count as one. A text that is
// a number with its unit stays whole.
func words(text string) (key string, numbers []string) {
	if len(strings.Fields(text)) <= 2 {
		return text, nil
	}
	var b strings.Builder
	digit := false
	for _, r := range text {
		isDigit := r >= '0' && r <= '9' || digit && r == '.'
		switch {
		case isDigit && !digit:
			b.WriteByte('#')
			numbers = append(numbers, string(r))
		case isDigit:
			numbers[len(numbers)-1] += string(r)
		default:
			b.WriteRune(r)
		}
		digit = isDigit
	}
	return b.String(), numbers
}

// recorded returns the counts of the sides that were recorded, left first.
func recorded(r *result) []*table.StepCounts {
	var out []*table.StepCounts
	for _, c := range []*table.StepCounts{r.Steps.Left, r.Steps.Right} {
		if c != nil {
			out = append(out, c)
		}
	}
	return out
}

// write writes the paragraph and what stands behind it.
func (m *methods) write(w io.Writer, a *assembly) error {
	var b strings.Builder
	b.WriteString("# Methods\n\nA paragraph for a paper, then every setting and choice. Check both before use.\n\n")
	m.paragraph(&b, a)
	m.settings(&b, a)
	m.decisions(&b)
	m.power(&b)
	citations(&b)
	_, err := io.WriteString(w, b.String())
	return err
}

// paragraph is the text for a paper.
func (m *methods) paragraph(b *strings.Builder, a *assembly) {
	fmt.Fprintf(b, "Recordings were analysed with setdown %s (method %s, seed %d). Of %d recordings, found by %s, %d could be analysed and %d could not (see sessions.csv). ",
		a.set.Version, a.set.Method, a.set.Seed, a.outcome.Total, a.plan.How, a.outcome.Done, a.outcome.Failed)
	fmt.Fprintf(b, "%d steps were found on %d sides, of which %d were used; the reasons for leaving out the others are in steps.csv. ", m.steps, m.sides, m.used)
	b.WriteString("Samples were put on an even grid within stretches without gaps and brought into the axes of the foot from the recording itself, without a set-up pose. " +
		"Initial contact, foot-flat (the first moment after initial contact at which foot pitch is within 1 deg of its mid-stance value) and toe-off were found for each step. " +
		"Lowering was measured on every step that landed heel first (toes up by more than 3 deg, then a toe-down rotation to flat), from initial contact to foot-flat. ")
	fmt.Fprintf(b, "Each measure of a side is the median over its used steps, the heel-first share a proportion, each with a 95 %% interval that allows for the likeness of neighbouring steps. "+
		"Sides were compared by the difference of their medians (injured minus uninjured where one side was injured, else right minus left) and called different where its 95 %% interval lay wholly beyond a limit, alike where wholly within it, and otherwise not told apart; fewer than %d used steps a side gave no verdict. "+
		"The peak lowering rate was the primary measure. The signs are no diagnosis and were not validated in people with shin pain.\n\n", session.MinSteps)
}

// settings lists what was set.
func (m *methods) settings(b *strings.Builder, a *assembly) {
	b.WriteString("## Settings\n\n")
	fmt.Fprintf(b, "- version %s, method %s\n- seed %d\n- injured side where a recording does not say: %s\n- recordings found by: %s\n",
		a.set.Version, a.set.Method, a.set.Seed, a.set.Injured, strings.TrimSpace(a.plan.How+" "+a.plan.Pattern))
	if a.set.Rate > 0 {
		fmt.Fprintf(b, "- rate of files without time: %g Hz\n", a.set.Rate)
	}
	if n := recording.CadenceCounts(a.set.CadenceCounts); n == recording.CountsSteps {
		b.WriteString("- a watch's step rate counts: steps of both feet\n")
	} else if n == recording.CountsStrides {
		b.WriteString("- a watch's step rate counts: strides of one foot\n")
	}
	if a.set.Columns != "" {
		fmt.Fprintf(b, "- columns given in %s (SHA-256 %s)\n", a.set.Columns, a.set.ColumnsSHA256)
	}
	for _, metric := range step.Catalogue() {
		if f, ok := a.set.Floors[metric.Key]; ok {
			fmt.Fprintf(b, "- limit of %s: %g %s\n", metric.Key, metric.Unit.FromBase(f), metric.Unit.Symbol)
		} else if metric.Verdict {
			fmt.Fprintf(b, "- limit of %s: %s\n", metric.Key, metric.FloorReason)
		}
	}
	b.WriteString("\n")
}

// shownAnswers is how many answers of one choice are listed.
const shownAnswers = 8

// decisions lists what the recordings themselves decided.
func (m *methods) decisions(b *strings.Builder) {
	b.WriteString("## Choices made from the recordings\n\nAn answer's number of recordings or sensors is in brackets; # stands for a number that differs.\n\n")
	for _, what := range m.order {
		fmt.Fprintf(b, "- %s: %s\n", what, counted(m.choices[what]))
	}
	fmt.Fprintf(b, "- intervals of differences: %s\n\n", counted(m.intervals))
}

// counted lists texts with their counts, most frequent first.
func counted(all answers) string {
	keys := slices.SortedFunc(maps.Keys(all), func(a, b string) int {
		return cmp.Or(cmp.Compare(all[b].times, all[a].times), cmp.Compare(a, b))
	})
	var parts []string
	for _, k := range keys[:min(len(keys), shownAnswers)] {
		parts = append(parts, fmt.Sprintf("%s (%d)", all[k].filled(k), all[k].times))
	}
	if more := len(keys) - shownAnswers; more > 0 {
		parts = append(parts, fmt.Sprintf("%d other answers", more))
	}
	if len(parts) == 0 {
		return "none"
	}
	return strings.Join(parts, "; ")
}

// power lists what the comparisons could have shown.
func (m *methods) power(b *strings.Builder) {
	fmt.Fprintf(b, "## Power\n\nFor each comparison, %d sessions with its own scatter and number of steps were simulated in which the true difference was %d times the limit; the power is the share called different (asymmetry.csv, column power).\n\n", powerSessions, powerTimes)
	b.WriteString("| measure | comparisons | median power | lowest | share with power of 0.8 or more |\n|---|---|---|---|---|\n")
	for _, metric := range step.Catalogue() {
		p := m.powers[metric.Key]
		if len(p) == 0 {
			continue
		}
		enough := 0
		for _, v := range p {
			if v >= powerWanted {
				enough++
			}
		}
		fmt.Fprintf(b, "| %s | %d | %.2f | %.2f | %.0f %% |\n", metric.Label, len(p), estimate.Median(p), slices.Min(p), 100*float64(enough)/float64(len(p)))
	}
	b.WriteString("\n")
}

// citations lists the sources of what was measured.
func citations(b *strings.Builder) {
	b.WriteString("## Sources\n\n")
	for _, metric := range step.Catalogue() {
		fmt.Fprintf(b, "- %s: %s\n", metric.Label, metric.Source)
	}
	b.WriteString("- intervals of medians: Thompson 1936, Ann. Math. Stat. 7, 122-128; Woodruff 1952, J. Am. Stat. Assoc. 47, 635-646\n" +
		"- 25 steps a side: Oliveira & Pirscoveanu 2021, Sci Rep 11:3083\n- symmetry index: Robinson et al. 1987\n" +
		"- tables: Data Package 2.0 and Table Schema 2.0 (datapackage.json)\n")
}
