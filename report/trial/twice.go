package trial

import (
	"fmt"
	"slices"
	"strings"
)

// twice finds files of the same content in several recordings: one run counted
// for two people or two sessions makes both look alike, and a study larger.
type twice struct {
	// of holds, by the beginning of a file's digest, where it was first seen and
	// then all places; the digest is cut to 16 hexadecimal places to save memory.
	of map[string][]place
}

// place is a file of a recording.
type place struct{ id, file string }

func (p place) String() string { return p.id + " (" + p.file + ")" }

// digits is how much of a digest tells files apart: 64 bits.
const digits = 16

// add takes the inputs of a recording in.
func (t *twice) add(rec *record) {
	if t.of == nil {
		t.of = map[string][]place{}
	}
	for _, h := range rec.Hashes {
		if len(h.SHA256) < digits || h.Bytes == 0 {
			continue // could not be read, or empty
		}
		key := strings.Clone(h.SHA256[:digits])
		t.of[key] = append(t.of[key], place{rec.ID, h.Name})
	}
}

// found returns the groups of places with the same content in more than one
// recording, in the order of their names.
func (t *twice) found() [][]place {
	var out [][]place
	for _, ps := range t.of {
		if !slices.ContainsFunc(ps, func(p place) bool { return p.id != ps[0].id }) {
			continue
		}
		slices.SortFunc(ps, func(a, b place) int { return strings.Compare(a.String(), b.String()) })
		out = append(out, ps)
	}
	slices.SortFunc(out, func(a, b []place) int { return strings.Compare(a[0].String(), b[0].String()) })
	return out
}

// lines says each group in a sentence.
func (t *twice) lines() []string {
	var out []string
	for _, ps := range t.found() {
		names := make([]string, len(ps))
		for i, p := range ps {
			names[i] = p.String()
		}
		out = append(out, fmt.Sprintf("the same file in %d places: %s", len(ps), strings.Join(names, ", ")))
	}
	return out
}
