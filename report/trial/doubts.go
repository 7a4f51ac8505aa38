package trial

import (
	"cmp"
	"fmt"
	"path"
	"slices"
)

// DoubtLines are the doubts for a reader. Files of one name with one reason, as the
// reference events beside each recording, are one line and come last: else they
// hide the one file that is missing in its recording.
func DoubtLines(all []Doubt) []string {
	type likeness struct{ base, text string }
	groups := map[likeness][]Doubt{}
	var order []likeness
	for _, d := range all {
		k := likeness{path.Base(d.Path), d.Text}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], d)
	}
	slices.SortStableFunc(order, func(a, b likeness) int { return cmp.Compare(len(groups[a]), len(groups[b])) })
	var out []string
	for _, k := range order {
		g := groups[k]
		line := g[0].String()
		if len(g) > 1 {
			line = fmt.Sprintf("%s and %d more of that name: %s", g[0].Path, len(g)-1, k.text)
		}
		out = append(out, line)
	}
	return out
}
