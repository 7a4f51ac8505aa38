package recording

import (
	"slices"
	"strings"
)

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
		bare := besideAxis(ws, i) && !namesSensor(ws) && !gBehind(ws, i) // "g" and "la" name a sensor, and not what they mean elsewhere
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
	if (w == "a" || w == "g" || w == "w") && besideAxis(ws, i) && !namesSensor(ws) && !gBehind(ws, i) {
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

// gBehind tells whether word i is the unit behind an accelerometer's axis ("a x g").
func gBehind(ws []string, i int) bool {
	return i > 1 && ws[i] == "g" && axisOf(ws[i-1]) > 0 && ws[i-2] == "a"
}

// gForce joins the words of an acceleration in g: "g force x", "gFx".
func gForce(ws []string) []string {
	for i := range len(ws) - 1 {
		next := ws[i+1]
		if ws[i] == "g" && (next == "force" || len(next) == 2 && next[0] == 'f' && axisOf(next[1:]) > 0) {
			return slices.Concat(ws[:i], []string{"gforce"}, tokens(strings.TrimPrefix(strings.TrimPrefix(next, "force"), "f")), ws[i+2:])
		}
	}
	return ws
}

// phrases joins words that only together name a sensor ("rate of turn").
func phrases(ws []string) []string {
	ws = gForce(ws)
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
