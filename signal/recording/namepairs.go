package recording

import (
	"path"
	"slices"

	"setdown/signal/remark"
)

// pairNames gives sides to files whose names differ in nothing but a pair of short words
// for left and right ("pied_g.csv", "pied_d.csv"), where each has exactly one such other.
func (o *opener) pairNames() {
	var open []*draft
	for _, d := range o.drafts {
		if d.side == SideUnknown {
			open = append(open, d)
		}
	}
	for _, left := range open {
		others := slices.DeleteFunc(slices.Clone(open), func(d *draft) bool { return !namesPair(left.file, d.file) })
		if len(others) != 1 || slices.ContainsFunc(open, func(d *draft) bool { return d != left && namesPair(d.file, others[0].file) }) {
			continue
		}
		left.side, left.sideFrom = Left, "file names"
		others[0].side, others[0].sideFrom = Right, "file names"
		o.set.Remarks.Add(remark.Doubt, "side-paired", remark.In(left.file.name), "taken as the left side, and %s as the right, by the one short word in which their names differ", others[0].file.name)
	}
}

// namesSide tells whether a word is one for the side.
func namesSide(w string, side Side) bool {
	return slices.ContainsFunc(dictionary[w], func(s sense) bool { return s.means == meansSide && s.side == side })
}

// namesPair tells whether the names of two files differ in one word, which is one for left
// in a and for right in b, or the two are one of sidePairs.
func namesPair(a, b *file) bool {
	x, y := tokens(path.Base(a.name)), tokens(path.Base(b.name))
	if len(x) != len(y) {
		return false
	}
	at := -1
	for i := range x {
		if x[i] != y[i] {
			if at >= 0 {
				return false
			}
			at = i
		}
	}
	return at >= 0 && (slices.Contains(sidePairs, [2]string{x[at], y[at]}) || namesSide(x[at], Left) && namesSide(y[at], Right))
}
