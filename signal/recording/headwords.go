package recording

import (
	"slices"
	"strings"

	"setdown/signal/unit"
)

// wording is what the words of a heading have told so far.
type wording struct {
	heading
	ws   []string
	axis int // 1, 2, 3 for x, y, z
	seen [meanings]bool
	rest []string // words that mean nothing
}

// takeWords takes what the words of a heading tell, and adds the units that stand
// among them to those found.
func (h *heading) takeWords(ws []string, found []unit.Unit) []unit.Unit {
	ws, h.total = gravityIn(ws)
	w := wording{heading: *h, ws: splitAxis(turning(ws, found))}
	for i := 0; i < len(w.ws); i++ {
		if w.axis == 0 && w.isAxis(i) {
			w.axis = axisOf(w.ws[i])
		} else if u, n := w.unitAt(i); n > 0 {
			found = append(found, u)
			i += n - 1
		} else {
			w.take(w.ws[i])
		}
	}
	w.device = strings.Join(w.rest, " ")
	w.role = w.settle(found)
	alone := slices.Contains(w.ws, "gravity") || slices.Contains(w.ws, "grav") // gravity without the rest
	if w.seen[meansLinear] && w.acc && !w.gyr && !w.seen[meansOther] && !alone {
		w.linear = w.axis
	}
	*h = w.heading
	return found
}

// gravityIn takes off words that say that gravity is in an acceleration
// ("accelerationIncludingGravity"), and puts one word for those that say it is not.
func gravityIn(ws []string) (rest []string, in bool) {
	for i := 1; i < len(ws); i++ {
		if ws[i] != "gravity" && ws[i] != "grav" {
			continue
		}
		switch ws[i-1] {
		case "including", "includes", "incl", "with", "inc", "plus":
			return slices.Concat(ws[:i-1], ws[i+1:]), true
		case "excluding", "excl", "without", "no", "minus", "exc", "removed":
			return slices.Concat(ws[:i-1], []string{"linear"}, ws[i+1:]), false
		}
	}
	return ws, false
}

// satelliteTime tells whether a column holds the time of a satellite receiver, which may
// be seldom: it is used where nothing else tells the time.
func (w *wording) satelliteTime(found []unit.Unit) bool {
	inTime := slices.ContainsFunc(found, func(u unit.Unit) bool { return u.Kind == unit.Time })
	return inTime && w.axis == 0 && slices.Contains(w.ws, "gps") && !w.seen[meansSpeed] && !w.acc && !w.gyr
}

// isAxis tells whether word i names the axis. The first word does not where the last
// one is an axis, too.
func (w *wording) isAxis(i int) bool {
	return axisOf(w.ws[i]) > 0 && (len(w.ws) == 1 || i > 0 || axisOf(w.ws[len(w.ws)-1]) == 0)
}

// unitAt finds the unit that begins with word i, and tells how many words it takes; 0
// when there is none. The first word is never a unit: a unit is one of something.
func (w *wording) unitAt(i int) (unit.Unit, int) {
	if i == 0 {
		return unit.Unit{}, 0
	}
	if u, ok := tokenUnit(w.ws[i:]); ok {
		return u, len(w.ws) - i
	}
	if beforeAxis := i == len(w.ws)-2 && axisOf(w.ws[i+1]) > 0; beforeAxis {
		if u, ok := tokenUnit(w.ws[i : i+1]); ok && ofMotion(u) {
			return u, 1
		}
	}
	return unitWithin(w.ws, i, w.acc)
}

// take takes what one word means by itself.
func (w *wording) take(word string) {
	senses := dictionary[word]
	switch {
	case len(senses) > 0:
	case oddUnit(word):
		w.odd = word
	default:
		w.rest = append(w.rest, word)
	}
	for _, s := range senses {
		w.seen[s.means] = true
		switch s.means {
		case meansSide:
			w.side, w.paired = s.side, word == pairedLetter
		case meansSite:
			w.site = s.site
		case meansAcc:
			w.acc = true
		case meansGyr:
			w.gyr = true
		}
	}
}

// settle turns what was seen in a heading into a role.
func (w *wording) settle(found []unit.Unit) role {
	seen := &w.seen
	switch {
	case w.satelliteTime(found):
		return roleNone
	case seen[meansLinear] && !w.gyr, seen[meansOther]:
		return roleUnused
	case w.gyr && w.axis > 0:
		return roleGyrX + role(w.axis-1)
	case w.acc && w.axis > 0:
		return roleAccX + role(w.axis-1)
	case w.axis > 0:
		return roleAxisX + role(w.axis-1)
	case seen[meansCadence]:
		return roleCadence
	case seen[meansHeart], seen[meansDistance]:
		return roleUnused
	case seen[meansTime]:
		return roleTime
	case seen[meansSpeed] && !w.gyr && !w.acc:
		return roleSpeed
	case seen[meansDate]:
		return roleDate
	case seen[meansChannel], seen[meansPlacement], seen[meansSide], seen[meansSite]:
		return roleKey
	case seen[meansValue]:
		return roleValue
	case seen[meansCounter]:
		return roleCounter
	}
	return roleNone
}
