package table

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"setdown/gait/step"
	"setdown/signal/unit"
)

// metricsIntro stands above the table of docs/metrics.md.
const metricsIntro = `# The measures

This page is made from the catalogue of package gait/step
(` + "`go test ./report/table -run Metrics -update`" + `); change it there.

The key is the column of steps.csv and the key in session.json; its unit is part of
the name. "Limit" is the default limit of a side difference: a smaller one can come
from refitting the sensors or from ordinary unevenness. Where two are given, the
larger holds. With sessions in which the sensors were taken off and put on again, the
person's own smallest detectable difference takes its place.

Foot-flat (FF) is the first moment after initial contact (IC) at which the foot is within 1° of
its own mid-stance pitch. It lies between the first touch of the forefoot and the moment
at which all metatarsals bear (De Cock et al. 2005), so times to foot-flat are not to be
compared with times to either of these.

Lowering is measured on every step that lands heel first: toes up by more than 3° at
initial contact, then a toe-down rotation to flat. Other steps have empty cells.
`

// WriteMetrics writes docs/metrics.md, a section a metric, from the catalogue.
func WriteMetrics(w io.Writer) error {
	var b strings.Builder
	b.WriteString(metricsIntro)
	for _, m := range step.Catalogue() {
		fmt.Fprintf(&b, "\n## %s\n\n", m.Label)
		fmt.Fprintf(&b, "`%s`, %s.\n\n", m.Key, unitWords(m))
		fmt.Fprintf(&b, "%s.\n\n", capital(m.Definition))
		fmt.Fprintf(&b, "- Source: %s.\n", m.Source)
		if m.Lowering {
			b.WriteString("- Measured on heel-first steps only.\n")
		}
		if !m.Verdict {
			fmt.Fprintf(&b, "- Shown only, without a verdict: %s.\n", m.NoVerdict)
			continue
		}
		fmt.Fprintf(&b, "- Limit: %s (%s).\n", limit(m), m.FloorReason)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// unitWords says in which unit the page and the files show the metric.
func unitWords(m step.Metric) string {
	switch {
	case m.Share:
		return "% on the page; true or false in steps.csv and a share from 0 to 1 in session.json"
	case m.Unit == unit.One:
		return "a number without unit"
	}
	return m.Unit.Symbol
}

// limit says the default floor in the metric's display unit.
func limit(m step.Metric) string {
	var parts []string
	if m.FloorAbsolute != 0 {
		sym := " " + m.Unit.Symbol
		if m.Share {
			sym = " percentage points"
		}
		parts = append(parts, strings.TrimSpace(fmt.Sprintf("%.4g%s", m.Unit.FromBase(m.FloorAbsolute), sym)))
	}
	if m.FloorRelative != 0 {
		parts = append(parts, fmt.Sprintf("%.4g %% of the mean of both sides", 100*m.FloorRelative))
	}
	return strings.Join(parts, " or ")
}

// capital returns s with a capital first letter.
func capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[size:]
}
