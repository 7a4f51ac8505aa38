package recording

import (
	"regexp"
	"strings"

	"setdown/signal/unit"
)

// role is what a column is read as.
type role uint8

const (
	roleNone role = iota
	roleTime
	roleDate
	roleCounter
	roleAccX
	roleAccY
	roleAccZ
	roleGyrX
	roleGyrY
	roleGyrZ
	roleKey     // names a side, a site, a sensor or a channel in words
	roleValue   // the one value column of a long table
	roleCadence // step rate
	roleSpeed
	roleAxisX // an axis of a sensor that the heading does not name
	roleAxisY
	roleAxisZ
	roleUnused // a known quantity that is not used
)

var roleNames = [...]string{"", "time", "date", "counter", "acc_x", "acc_y", "acc_z", "gyr_x", "gyr_y", "gyr_z",
	"key", "value", "cadence", "speed", "axis_x", "axis_y", "axis_z", "unused"}

func (r role) String() string { return roleNames[r] }

// channel returns 0–5 for acc_x … gyr_z, and false for other roles.
func (r role) channel() (int, bool) {
	if r < roleAccX || r > roleGyrZ {
		return 0, false
	}
	return int(r - roleAccX), true
}

// kind is what the unit of a column of this role measures.
func (r role) kind() unit.Kind {
	switch {
	case r == roleTime:
		return unit.Time
	case r >= roleAccX && r <= roleAccZ:
		return unit.Acceleration
	case r >= roleGyrX && r <= roleGyrZ:
		return unit.AngularRate
	case r == roleSpeed:
		return unit.Speed
	case r == roleCadence:
		return unit.Frequency
	}
	return unit.None
}

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
	// odd is what looks like a unit and is none that is known.
	odd string
	// timed tells that the name is known for nothing but holds a unit of time.
	timed bool
}

// bracketed finds a unit in brackets.
var bracketed = regexp.MustCompile(`[\[({<]([^\])}>]*)[\])}>]`)

// readHeading finds out what a column's name tells. An empty name tells nothing.
func readHeading(name string) heading {
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
	h.fill(tokens(plain), &found)
	h.takeUnit(found)
	return h
}

// fill reads the words of a heading.
func (h *heading) fill(ws []string, found *[]unit.Unit) {
	ws = splitAxis(turning(ws, *found))
	acc, gyr, axis, seen := false, false, 0, map[meaning]bool{}
	var rest []string
	within := 0 // words that belong to a unit
	for i, w := range ws {
		if within > 0 {
			within--
			continue
		}
		if a := axisOf(w); a > 0 && axis == 0 && (len(ws) == 1 || i > 0 || axisOf(ws[len(ws)-1]) == 0) {
			axis = a
			continue
		}
		if u, ok := tokenUnit(ws[i:]); ok && i > 0 {
			*found = append(*found, u)
			break
		}
		if u, ok := tokenUnit(ws[i : i+1]); ok && i > 0 && i == len(ws)-2 && axisOf(ws[i+1]) > 0 && (u.Kind == unit.Acceleration || u.Kind == unit.AngularRate) {
			*found = append(*found, u)
			continue
		}
		if u, n := unitWithin(ws, i, acc); n > 0 {
			*found = append(*found, u)
			within = n - 1
			continue
		}
		senses := dictionary[w]
		if len(senses) == 0 {
			if oddUnit(w) {
				h.odd = w
				continue
			}
			rest = append(rest, w)
			continue
		}
		for _, s := range senses {
			seen[s.means] = true
			switch s.means {
			case meansSide:
				h.side, h.paired = s.side, w == pairedLetter
			case meansSite:
				h.site = s.site
			case meansAcc:
				acc = true
			case meansGyr:
				gyr = true
			}
		}
	}
	h.device = strings.Join(rest, " ")
	h.acc, h.gyr = acc, gyr
	h.role = settle(acc, gyr, axis, seen)
	if seen[meansLinear] && acc && !gyr && !seen[meansOther] {
		h.linear = axis
	}
}

// settle turns what was seen in a heading into a role.
func settle(acc, gyr bool, axis int, seen map[meaning]bool) role {
	switch {
	case seen[meansLinear] && !gyr, seen[meansOther]:
		return roleUnused
	case gyr && axis > 0:
		return roleGyrX + role(axis-1)
	case acc && axis > 0:
		return roleAccX + role(axis-1)
	case axis > 0:
		return roleAxisX + role(axis-1)
	case seen[meansCadence]:
		return roleCadence
	case seen[meansHeart], seen[meansDistance]:
		return roleUnused
	case seen[meansTime]:
		return roleTime
	case seen[meansSpeed] && !gyr && !acc:
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

// axisOf returns 1, 2, 3 for x, y, z and 0 for other words.
func axisOf(w string) int {
	switch w {
	case "x":
		return 1
	case "y":
		return 2
	case "z":
		return 3
	}
	return 0
}

// compact are short names of a sensor with its axis behind.
var compact = map[string]string{"a": "acc", "g": "gyr", "w": "gyr", "lf": "left foot", "rf": "right foot"}

// splitAxis takes joined words apart: "accx" → "acc x", "lfoot" → "left foot",
// "ax" → "acc x". A single "a", "g" or "w" beside an axis stands for a sensor.
func splitAxis(ws []string) []string {
	ws = phrases(ws)
	var out []string
	for i, w := range ws {
		bare := besideAxis(ws, i) && !namesSensor(ws) // "g" and "la" name a sensor, and not what they mean elsewhere
		if len(dictionary[w]) > 0 && !(bare && (w == "g" || w == "la")) && w != "as" && w != "dx" && w != "sx" {
			out = append(out, w)
			continue
		}
		out = append(out, takeApart(ws, i)...)
	}
	return out
}

// takeApart splits one word that is not in the dictionary as it stands.
func takeApart(ws []string, i int) []string {
	w := ws[i]
	n := len(w)
	if w == "lf" || w == "rf" {
		return strings.Fields(compact[w])
	}
	if (w == "a" || w == "g" || w == "w") && besideAxis(ws, i) && !namesSensor(ws) {
		return []string{compact[w]}
	}
	if out := segment(w, namesSensor(ws), hasAxis(ws)); out != nil && w != "dx" && w != "sx" {
		return out
	}
	if n > 1 && axisOf(w[n-1:]) > 0 && (dictionary.is(w[:n-1], meansAcc) || dictionary.is(w[:n-1], meansGyr)) {
		return []string{w[:n-1], w[n-1:]}
	}
	if n > 2 && axisOf(w[:1]) > 0 && (dictionary.is(w[1:], meansAcc) || dictionary.is(w[1:], meansGyr)) {
		return []string{w[1:], w[:1]}
	}
	for _, side := range []string{"left", "right", "links", "rechts", "l", "r"} {
		if tail, ok := strings.CutPrefix(w, side); ok && (dictionary.is(tail, meansSite) || dictionary.is(tail, meansAcc) || dictionary.is(tail, meansGyr)) {
			return []string{side, tail}
		}
	}
	if i := strings.LastIndexAny(w, "0123456789"); i >= 0 && len(w)-i > 2 {
		return append([]string{w[:i+1]}, splitAxis([]string{w[i+1:]})...)
	}
	if out := compound(w); out != nil {
		return splitAxis(out)
	}
	return glued(w, hasAxis(ws))
}

// phrases joins words that only together name a sensor ("rate of turn").
func phrases(ws []string) []string {
	var out []string
	for i := 0; i < len(ws); i++ {
		n := 1
		for k := min(3, len(ws)-i); k > 1; k-- {
			// "gy" and "r" are an axis and a side, and not "gyr"; so are "acc" and "l".
			if w := strings.Join(ws[i:i+k], ""); len(ws[i]) > 2 && len(ws[i+k-1]) > 1 && (dictionary.is(w, meansAcc) || dictionary.is(w, meansGyr)) {
				n = k
				break
			}
		}
		out = append(out, strings.Join(ws[i:i+n], ""))
		i += n - 1
	}
	return out
}

// glued takes apart a sensor word with a number behind it: an axis in "acc1",
// a device in "acc1_x" and "acc16_x".
func glued(w string, anyAxis bool) []string {
	name := strings.TrimRight(w, "0123456789")
	number := w[len(name):]
	if number == "" || !dictionary.is(name, meansAcc) && !dictionary.is(name, meansGyr) {
		return []string{w}
	}
	if anyAxis {
		return []string{name, number}
	}
	if a := strings.Index("123", number); a >= 0 && len(number) == 1 {
		return []string{name, string("xyz"[a])}
	}
	return []string{w}
}

// besideAxis tells whether a neighbour of word i is an axis.
func besideAxis(ws []string, i int) bool {
	return i > 0 && axisOf(ws[i-1]) > 0 || i+1 < len(ws) && axisOf(ws[i+1]) > 0
}

// namesSensor tells whether a word names a sensor.
func namesSensor(ws []string) bool {
	for _, w := range ws {
		if dictionary.is(w, meansAcc) || dictionary.is(w, meansGyr) {
			return true
		}
	}
	return false
}

// hasAxis tells whether a word is an axis.
func hasAxis(ws []string) bool {
	for _, w := range ws {
		if axisOf(w) > 0 {
			return true
		}
	}
	return false
}
