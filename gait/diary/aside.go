package diary

import (
	"cmp"
	"fmt"
	"slices"
)

// Noted is one version of a note that stands beside a session with sensors. The
// notes of a session that was taken back stay.
type Noted struct {
	ID   string
	Seq  int64
	Date Date
	Note string
}

// aside is a note outside the diary's own pages, all its versions at once.
type aside struct {
	id       string
	date     Date
	with     string // what it stands with, as in "note with the heel walks"
	versions []Noted
}

// asides gathers the notes of exercises and sessions by entry and day, in the
// order of their days. As with pages, a version that changes the date stands
// alone, so that the old one is kept.
func (v *view) asides() []aside {
	type key struct {
		id   string
		date Date
	}
	at := map[key]int{}
	var out []aside
	add := func(n Noted, with string) {
		i, ok := at[key{n.ID, n.Date}]
		if !ok {
			i = len(out)
			at[key{n.ID, n.Date}] = i
			out = append(out, aside{n.ID, n.Date, with, nil})
		}
		out[i].versions = append(out[i].versions, n)
	}
	for _, e := range v.log.Exercises {
		add(Noted{e.ID, e.Seq, e.Date, e.Note}, "the "+e.Drill.String()+"s")
	}
	for _, n := range v.log.Notes {
		add(n, "the session with sensors")
	}
	for _, a := range out {
		slices.SortStableFunc(a.versions, func(x, y Noted) int { return cmp.Compare(x.Seq, y.Seq) })
	}
	slices.SortStableFunc(out, func(a, b aside) int {
		return cmp.Or(cmp.Compare(a.date.days(), b.date.days()), cmp.Compare(a.id, b.id))
	})
	return out
}

// asideRule asks about a sign that a note of an exercise or a session speaks of,
// in the way of noteRule: who does not write a symptom into the diary may write it
// there. A question answered yes on that day or later says more.
func asideRule(v *view) []Reason {
	var out []Reason
	for _, a := range v.asides() {
		if age := v.today.Since(a.date); age < 0 || age >= JudgedDays {
			continue
		}
		for s := range symptomCount {
			if said := v.saidBeside(a, s); said != "" {
				_, still := noteSigns(a.standing())[s]
				out = append(out, asideReason(a, s, said, still))
			}
		}
	}
	return out
}

// saidBeside returns the words with which any unreleased version speaks of s, ""
// where none does or the question was answered yes since.
func (v *view) saidBeside(a aside, s Symptom) string {
	for _, p := range v.pages {
		if !a.date.After(p.Date) && v.flagged(p, s) {
			return ""
		}
	}
	said := ""
	for _, n := range a.versions {
		if words := noteSigns(n.Note)[s]; words != "" && !v.released(n.Seq, a.date, nil) {
			said = words
		}
	}
	return said
}

// standing is the last note that was written: one that was blanked, or whose line
// was taken back, still stands.
func (a aside) standing() string {
	note := ""
	for _, n := range a.versions {
		lay(&note, n.Note)
	}
	return note
}

func asideReason(a aside, s Symptom, said string, still bool) Reason {
	r := Reason{Rule: "note", Word: Hold, Missing: still, Entries: []Cited{{a.id, a.date, "note with " + a.with, said}}}
	if still {
		r.Text = fmt.Sprintf("Your note with %s of %s says “%s”, which the rules cannot judge. Was it so: %s Then answer that question yes in the diary of that day. If it was not, say so in that note (“no %s”).", a.with, a.date, said, Symptoms[s].Ask, said)
		return r
	}
	r.Text = fmt.Sprintf("Your note with %s of %s said “%s” before it was changed: no more than the last run until 14 days have passed.", a.with, a.date, said)
	return r
}
