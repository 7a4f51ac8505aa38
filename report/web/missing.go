package web

import (
	"slices"
	"strings"

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
			add(link{base + "/diary?entry=" + r.Entries[0].Entry, entryWords(r.Entries[0])})
		default:
			add(link{base + "/diary", "the diary"})
		}
	}
	return out
}

// entryWords names an entry by its day, and by its number where the day has several.
func entryWords(c diary.Cited) string {
	if n := strings.TrimPrefix(c.Entry, c.Date.String()+"-"); n != "1" {
		return "entry " + n + " of " + dayWords(c.Date)
	}
	return "the entry of " + dayWords(c.Date)
}
