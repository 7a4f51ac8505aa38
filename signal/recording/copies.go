package recording

import (
	"fmt"
	"slices"
	"strings"

	"setdown/signal/remark"
)

// filterWords say in a heading that a filter went over the values: in English,
// German, French, Spanish, Italian and Dutch, folded.
var filterWords = strings.Fields(`filt filter filtered lowpass lowpassed lp lpf smooth smoothed smoothened butter butterworth gefiltert geglattet filtre filtree lisse
	lissee filtrado filtrada suavizado suavizada filtrato filtrata gefilterd`)

// countWords say in a heading that the values are counts of the converter.
var countWords = []string{"raw", "count", "counts", "lsb", "adc", "roh", "brut", "brute", "crudo", "grezzo", "ruw"}

// leaveCopies leaves out the filtered copy of a sensor whose own values stand in
// the same table: as a sensor of its own it would show every step a second time,
// and a filter makes peaks smaller. The first result is what is left of order.
func (l *layout) leaveCopies(order []string, groups map[string][]column) []string {
	var out []string
	for _, name := range order {
		cols := groups[name]
		bare, copied := withoutWords(cols[0].device, filterWords)
		c := cols[0]
		c.device = bare
		if original := groups[c.group()]; !copied || !sameSensors(original, cols) {
			out = append(out, name)
			continue
		}
		l.remarks.Append(remark.Remark{Code: "copy-filtered", Level: remark.Doubt, Place: remark.At(l.f.name, l.s.header, none()), Count: 1,
			Text: fmt.Sprintf("column %q and its like are a filtered copy of the sensor and were left aside; --columns can choose them", cols[0].name)})
	}
	return out
}

// sameSensors tells whether a holds all that b holds.
func sameSensors(a, b []column) bool {
	aa, ag := sensorsIn(a)
	ba, bg := sensorsIn(b)
	return (aa || !ba) && (ag || !bg)
}

// withoutWords takes words off what is left of a heading, and tells whether there
// was one.
func withoutWords(device string, list []string) (string, bool) {
	ws := strings.Fields(device)
	kept := slices.DeleteFunc(slices.Clone(ws), func(w string) bool { return slices.Contains(list, w) })
	return strings.Join(kept, " "), len(kept) < len(ws)
}

// leaveCounts leaves out columns of counts where another column of the same sensor
// and axis states its unit: only those need no scale from outside.
func (l *layout) leaveCounts() {
	first := ""
	for i := range l.cols {
		c := &l.cols[i]
		if _, ok := c.role.channel(); !ok || c.stated || !slices.ContainsFunc(tokens(c.name), func(w string) bool { return slices.Contains(countWords, w) }) {
			continue
		}
		bare, _ := withoutWords(c.device, countWords)
		if slices.ContainsFunc(l.cols, func(o column) bool {
			return o.role == c.role && o.stated && o.side == c.side && o.site == c.site && (o.device == c.device || o.device == bare)
		}) {
			if first == "" {
				first = c.name
			}
			c.role = roleUnused
		}
	}
	if first != "" {
		l.remarks.Append(remark.Remark{Code: "counts-beside", Level: remark.Note, Place: remark.At(l.f.name, l.s.header, none()), Count: 1,
			Text: fmt.Sprintf("column %q and its like are counts without a unit; the columns beside them state theirs and were read", first)})
	}
}
