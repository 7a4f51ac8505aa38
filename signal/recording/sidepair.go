package recording

import (
	"slices"
	"strings"
)

// sidePairs are short words for left and right that mean something else on
// their own: they count only where both of a pair stand side by side. French
// G/D, Spanish I/D, Italian S/D, German li/re and others.
var sidePairs = [][2]string{{"g", "d"}, {"i", "d"}, {"s", "d"}, {"li", "re"}, {"iz", "de"}, {"gche", "dte"}, {"izda", "dcha"}, {"lks", "rts"}, {"esq", "dir"}}

// pairedLetter is the one word of sidePairs that is a word for a side by itself.
const pairedLetter = "g"

// unpair takes back the side of headings that only a word of a pair gave, where
// nothing is on the right: the g of "g ax" is a unit or anything else.
func unpair(hs []*heading) {
	if slices.ContainsFunc(hs, func(h *heading) bool { return h.side == Right }) {
		return
	}
	for _, h := range hs {
		if h.paired && h.side == Left {
			h.side = SideUnknown
		}
	}
}

// pairSides gives sides to headings that differ only in the words of such a
// pair.
func pairSides(hs []*heading) {
	for i, a := range hs {
		for _, b := range hs[i+1:] {
			if !pairUp(a, b) {
				pairUp(b, a)
			}
		}
	}
	unpair(hs)
}

// pairUp takes a as left and b as right if their words say so.
func pairUp(a, b *heading) bool {
	if a.site != b.site || a.side == Right || b.side == Left || a.side != SideUnknown && b.side != SideUnknown {
		return false
	}
	for _, p := range sidePairs {
		left, ok := a.without(p[0], Left)
		if !ok {
			continue
		}
		if right, ok := b.without(p[1], Right); ok && left == right {
			a.side, a.device, b.side, b.device = Left, left, Right, right
			return true
		}
	}
	return false
}

// without takes a word off what is left of a heading's name; a heading that is
// known to be on the side has lost the word already.
func (h *heading) without(word string, side Side) (string, bool) {
	if h.side == side && dictionary.is(word, meansSide) {
		return h.device, true
	}
	ws := strings.Fields(h.device)
	i := slices.Index(ws, word)
	if h.side != SideUnknown || i < 0 {
		return "", false
	}
	return strings.Join(slices.Delete(ws, i, i+1), " "), true
}
