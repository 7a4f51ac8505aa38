package web

import (
	"slices"

	"setdown/gait/diary"
	"setdown/report/casebook"
)

// link is one address with its text.
type link struct{ Path, Text string }

// missingLinks are the places where what the advice lacks can be entered.
func missingLinks(c casebook.Case, a diary.Advice) []link {
	base := "/cases/" + c.ID
	var out []link
	add := func(l link) {
		if !slices.Contains(out, l) {
			out = append(out, l)
		}
	}
	for _, r := range a.Reasons {
		switch {
		case !r.Missing:
		case r.Rule == "missing-form":
			add(link{base + "/form", "Person and rules"})
		case r.Rule == "missing-fields" && len(r.Entries) > 0:
			add(link{base + "/diary?entry=" + r.Entries[0].Entry, "the entry of " + dayWords(r.Entries[0].Date)})
		default:
			add(link{base + "/diary", "the diary"})
		}
	}
	return out
}
