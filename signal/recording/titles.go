package recording

import (
	"slices"
	"strings"
)

// titled finds side and place of a sensor in the lines before the heading: in one that
// holds nothing but words for them ("Position: left foot"), beside the sensor's own name
// where it has one ("00B4A1 = left foot"). Lines that contradict each other, and names of
// sides among other words ("injured side: left"), tell nothing.
func (l *layout) titled(d *draft, tracks int) (Side, Site) {
	side, site := SideUnknown, SiteUnknown
	for _, line := range l.s.preamble {
		ws := tokens(line)
		if rest, ok := withoutName(ws, d.device); ok {
			ws = rest
		} else if tracks > 1 {
			continue
		}
		a, b, ok := placeOf(ws)
		if !ok && tracks == 1 {
			a, b, ok = placeInCell(line)
		}
		if !ok {
			continue
		}
		if side != SideUnknown && a != side || site != SiteUnknown && b != SiteUnknown && b != site {
			return SideUnknown, SiteUnknown
		}
		side = a
		if b != SiteUnknown {
			site = b
		}
	}
	return side, site
}

// placeInCell finds a place in one cell of a line that tells more: it has to say there
// what it is the place of ("Device name: Foot L; Serial: 1234").
func placeInCell(line string) (Side, Site, bool) {
	for _, cell := range strings.FieldsFunc(line, func(r rune) bool { return strings.ContainsRune(";,|\t", r) }) {
		ws := tokens(cell)
		if side, site, ok := placeOf(ws); ok && slices.ContainsFunc(ws, called) {
			return side, site, true
		}
	}
	return SideUnknown, SiteUnknown, false
}

// called tells whether a word is what a side or a place is called, and names none.
func called(w string) bool { return dictionary.is(w, meansPlacement) || dictionary.is(w, meansSite) }

// withoutName takes a sensor's name off words, however it is cut; false where it does
// not stand there, or is empty.
func withoutName(ws []string, name string) ([]string, bool) {
	name = strings.ReplaceAll(name, " ", "")
	if name == "" {
		return ws, false
	}
	for i := range ws {
		for j := i + 1; j <= len(ws); j++ {
			if strings.Join(ws[i:j], "") == name {
				return slices.Concat(ws[:i], ws[j:]), true
			}
		}
	}
	return ws, false
}

// placeOf reads words that name one side, and nothing but sides, places and what such
// are called; false where they do not. Single letters count beside another such word.
func placeOf(ws []string) (Side, Site, bool) {
	side, site, others, letter := SideUnknown, SiteUnknown, false, false
	for _, w := range splitAxis(ws) {
		known := strings.Trim(w, "0123456789") == ""
		for _, s := range dictionary[w] {
			switch s.means {
			case meansSide:
				if side != SideUnknown && side != s.side {
					return SideUnknown, SiteUnknown, false
				}
				side, known, letter = s.side, true, letter || loneLetter(w)
			case meansSite:
				site, known, others = s.site, true, true
			case meansPlacement:
				known, others = true, true
			case meansFiller:
				known = true
			}
		}
		if !known {
			return SideUnknown, SiteUnknown, false
		}
	}
	return side, site, side != SideUnknown && (others || !letter)
}

// namesOne tells whether words name a sensor by its side, its place, what it measures or
// a name of its own.
func namesOne(ws []string) bool {
	_, _, place := placeOf(ws)
	return place || slices.ContainsFunc(splitAxis(ws), func(w string) bool {
		return dictionary.is(w, meansPlacement) || dictionary.is(w, meansSite) || dictionary.is(w, meansAcc) || dictionary.is(w, meansGyr)
	})
}
