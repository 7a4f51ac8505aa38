package recording

import (
	"slices"
	"strings"

	"setdown/signal/remark"
)

// Names of axes by anatomy: vertical, mediolateral (across the body) and
// anteroposterior (along the way one faces), as x forward, y to the left and z up.
// The names do not say which way each points.
var (
	// anatomyWords spell an axis out; where two words do, they are joined.
	anatomyWords = map[string]string{"vertical": "z", "vertikal": "z", "verticale": "z", "verticaal": "z", "vert": "z", "superoinferior": "z", "craniocaudal": "z",
		"mediolateral": "y", "mediolaterale": "y", "mediallateral": "y", "mediolateraal": "y",
		"anteroposterior": "x", "anteriorposterior": "x", "anteroposteriore": "x", "anteroposterieur": "x", "anteroposterieure": "x"}
	// anatomySigns stand for an axis where those of all three are there.
	anatomySigns = map[string]string{"v": "z", "vt": "z", "ml": "y", "ap": "x"}
)

// anatomyAxis returns the axis that words[i] names by anatomy, alone or with the next
// word, and how many words that takes; spelled tells a word from a sign.
func anatomyAxis(words []string, i int) (axis string, n int, spelled bool) {
	if i+1 < len(words) {
		if a := anatomyWords[words[i]+words[i+1]]; a != "" {
			return a, 2, true
		}
	}
	if a := anatomyWords[words[i]]; a != "" {
		return a, 1, true
	}
	return anatomySigns[words[i]], 1, false
}

// anatomical writes the one axis that words name by anatomy as x, y or z; beside a
// letter of an axis it only describes it and goes. ok is false where there is none, or
// several.
func anatomical(words []string) (out []string, spelled, ok bool) {
	words = unjoined(words)
	found := 0
	for i := 0; i < len(words); {
		axis, n, whole := anatomyAxis(words, i)
		switch {
		case axis == "":
			out = append(out, words[i])
		case hasAxis(words):
			found, spelled = found+1, true
		default:
			out = append(out, axis)
			found, spelled = found+1, whole
		}
		i += max(1, n)
	}
	return out, spelled, found == 1
}

// unjoined parts a sensor from the sign of an axis behind it: "accml".
func unjoined(words []string) []string {
	var out []string
	for _, w := range words {
		at := -1
		for sign := range anatomySigns {
			if sensor, ok := strings.CutSuffix(w, sign); ok && (dictionary.is(sensor, meansAcc) || dictionary.is(sensor, meansGyr)) {
				at = len(sensor)
			}
		}
		if at > 0 && len(dictionary[w]) == 0 {
			out = append(out, w[:at], w[at:])
			continue
		}
		out = append(out, w)
	}
	return out
}

// takeAnatomy reads the axes of columns that name them by anatomy: those spelled out,
// and the signs of a sensor that has all three.
func takeAnatomy(cols []column) {
	type reading struct {
		at      int
		h       heading
		spelled bool
	}
	var all []reading
	axes := map[string]map[role]bool{}
	kind := func(h heading) string {
		c := column{heading: h}
		return c.group() + map[bool]string{true: "a"}[h.acc] + map[bool]string{true: "g"}[h.gyr]
	}
	for i := range cols {
		if _, ok := cols[i].role.channel(); cols[i].kind != cellsNumber || ok && cols[i].device == "" {
			continue
		}
		spelled := false
		h := readWords(cols[i].name, func(ws []string) []string {
			out, whole, ok := anatomical(ws)
			if spelled = whole; !ok {
				return nil
			}
			return out
		})
		if _, ok := h.role.channel(); !ok && (h.role < roleAxisX || h.role > roleAxisZ) {
			continue
		}
		h.anatomy = !hasAxis(tokens(cols[i].name))
		all = append(all, reading{i, h, spelled})
		if axes[kind(h)] == nil {
			axes[kind(h)] = map[role]bool{}
		}
		axes[kind(h)][h.role] = true
	}
	for _, r := range all {
		if r.spelled && (r.h.acc || r.h.gyr) || len(axes[kind(r.h)]) == 3 && (r.h.acc || r.h.gyr || r.h.device == "") {
			cols[r.at].heading = r.h
			if r.h.stated {
				cols[r.at].unitFrom = "header"
			}
		}
	}
}

// checkAnatomy refuses a foot or shin whose axes are named by anatomy only: its turning
// has a meaning only where it is known which way they point. The step rate needs none
// of that.
func (o *opener) checkAnatomy(d *draft) error {
	l := o.layouts[d]
	if !slices.ContainsFunc(slices.Concat(d.cols...), func(c column) bool { return c.anatomy }) {
		return nil
	}
	if d.hasAcc && d.hasGyr && !l.stepRateOnly(d, true) {
		return l.fail("the axes are named by anatomy, which does not tell which way each points: forward x, to the left y and up z, as the turning of a foot or shin needs it").
			hint("say with --columns which column is which, with * -1 behind one that points the other way; setdown inspect %s --save writes a file to edit", l.f.name)
	}
	o.set.Remarks.Add(remark.Note, "axes-anatomy", remark.At(l.f.name, l.s.header, none()),
		"the axes are named by anatomy and were taken as x forward, y to the left and z up; the step rate does not depend on it")
	return nil
}
