package recording

import (
	"regexp"
	"strings"

	"setdown/signal/unit"
)

// heading is what a column's name tells.
type heading struct {
	role role
	// acc and gyr tell whether the sensor's name stands in it, whatever the role.
	acc, gyr bool
	side     Side
	site     Site
	// paired tells that the word for the side is one of sidePairs.
	paired bool
	// device is what is left of the name: it tells several sensors apart.
	device string
	unit   unit.Unit
	// stated is true when the name holds a unit.
	stated bool
	// linear is 1, 2, 3 for an axis of what is called linear acceleration: mostly
	// that is without gravity, but some standards use the word for the sensor's
	// own reading. spare is its unit, or that of timed.
	linear int
	spare  unit.Unit
	// total tells that the name says that gravity is in the acceleration.
	total bool
	// odd is what looks like a unit and is none that is known.
	odd string
	// anatomy tells that nothing but a name of anatomy tells the axis.
	anatomy bool
	// unused tells that a file's name is of a quantity that setdown does not use.
	unused bool
	// timed tells that the name is known for nothing but holds a unit of time.
	timed bool
}

// bracketed finds a unit in brackets.
var bracketed = regexp.MustCompile(`[\[({<]([^\])}>]*)[\])}>]`)

// readHeading finds out what a column's name tells. An empty name tells nothing.
func readHeading(name string) heading {
	return readWords(name, func(ws []string) []string { return ws })
}

// readWords is as readHeading of the words that change makes of those of the name.
func readWords(name string, change func([]string) []string) heading {
	var h heading
	var found []unit.Unit
	plain := name
	for _, m := range bracketed.FindAllStringSubmatch(name, -1) {
		if u, ok := unit.Parse(m[1]); ok {
			found = append(found, u)
			plain = strings.Replace(plain, m[0], " ", 1)
		} else if oddUnit(m[1]) {
			h.odd = m[1]
		}
	}
	plain, found = tailUnit(plain, found)
	h.takeUnit(h.takeWords(change(tokens(plain)), found))
	return h
}

// takeUnit keeps the unit that fits the role.
func (h *heading) takeUnit(found []unit.Unit) {
	for _, u := range found {
		if _, ok := h.role.channel(); ok && u == unit.PerMinute && h.gyr {
			u = unit.TurnPerMinute
		}
		fits := u.Kind == h.role.kind()
		if h.role >= roleAxisX && h.role <= roleAxisZ {
			switch u.Kind {
			case unit.Acceleration:
				h.role, fits = roleAccX+h.role-roleAxisX, true
			case unit.AngularRate:
				h.role, fits = roleGyrX+h.role-roleAxisX, true
			}
		}
		if fits && h.role != roleNone {
			h.unit, h.stated = u, true
			return
		}
		if h.linear > 0 && u.Kind == unit.Acceleration {
			h.spare = u
		}
		if h.role == roleNone && u.Kind == unit.Time {
			h.timed, h.spare = true, u
		}
	}
}
