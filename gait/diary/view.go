package diary

import (
	"cmp"
	"slices"
)

// The windows of the rules, in days up to and including today. JudgedDays and
// FreshDays are what "within your rules" asks for; LoadDays is the span that
// the weekly rise is counted from; WeekDays is a week.
const (
	JudgedDays = 14
	FreshDays  = 7
	LoadDays   = 28
	WeekDays   = 7
)

// page is an entry as the rules see it: all its versions at once. Scores and
// answers are the last ones entered, so that blanking a field or removing the
// entry leaves what was said standing; Minutes and Kilometres likewise.
type page struct {
	Entry
	// versions in the order of the log.
	versions []Entry
	// last is the newest version: what is blank there counts as missing.
	last Entry
}

// view is the log as of today with all that the rules share.
type view struct {
	person  Person
	rules   Rules
	sensors Sensors
	today   Date
	pages   []page
	log     Log
	limit   int
	tendon  bool
}

func newView(p Person, log Log, sensors Sensors, rules Rules, today Date) *view {
	v := &view{person: p, rules: rules, sensors: sensors, today: today, pages: pagesOf(log.Entries), log: log}
	v.tendon = v.tendonRule()
	v.limit = rules.Limit
	if v.tendon {
		v.limit = max(rules.Limit, rules.TendonLimit)
	}
	return v
}

// tendonRule tells whether a counted tendon or muscle diagnosis opens the wider
// rule. A bone diagnosis, earlier bone stress or an unanswered question about it
// closes it: the tendon rule must not be used for bone.
func (v *view) tendonRule() bool {
	open := false
	for _, d := range v.person.Diagnoses {
		if d.Kind == Bone {
			return false
		}
		open = open || d.counts(v.today) && (d.Kind == Tendon || d.Kind == Muscle)
	}
	return open && v.person.EarlierBoneStress == No
}

// pagesOf groups the versions of each entry, ordered by date and ID. A version
// that changes the date makes a page of its own, so that the old one stands.
func pagesOf(entries []Entry) []page {
	type key struct {
		id   string
		date Date
	}
	groups := map[key][]Entry{}
	for _, e := range entries {
		k := key{e.ID, e.Date}
		groups[k] = append(groups[k], e)
	}
	pages := make([]page, 0, len(groups))
	for _, vs := range groups {
		slices.SortStableFunc(vs, func(a, b Entry) int { return cmp.Compare(a.Seq, b.Seq) })
		pages = append(pages, merge(vs))
	}
	slices.SortFunc(pages, func(a, b page) int {
		return cmp.Or(cmp.Compare(a.Date.days(), b.Date.days()), cmp.Compare(a.ID, b.ID))
	})
	return pages
}

// merge lays the versions of one entry over each other.
func merge(vs []Entry) page {
	p := page{Entry: vs[len(vs)-1], versions: vs, last: vs[len(vs)-1]}
	if p.last.Removed {
		p.last = Entry{ID: p.ID, Date: p.Date, Removed: true}
	}
	for _, e := range vs {
		p.Run = p.Run || e.Run || e.During.entered || e.Minutes > 0 || e.Kilometres > 0
		lay(&p.During, e.During)
		lay(&p.After, e.After)
		lay(&p.Morning, e.Morning)
		lay(&p.Stiffness, e.Stiffness)
		lay(&p.Painkillers, e.Painkillers)
		lay(&p.Slapping, e.Slapping)
		lay(&p.FrontOfAnkle, e.FrontOfAnkle)
		lay(&p.TenderSpot, e.TenderSpot)
		lay(&p.LoosenedLaces, e.LoosenedLaces)
		lay(&p.Minutes, e.Minutes)
		lay(&p.Kilometres, e.Kilometres)
		lay(&p.Note, e.Note)
		for i := range e.Checklist {
			lay(&p.Checklist[i], e.Checklist[i])
		}
	}
	return p
}

// lay puts value over *field unless value is "not entered".
func lay[T comparable](field *T, value T) {
	var none T
	if value != none {
		*field = value
	}
}

// age returns how many days ago the page's day was; negative in the future.
func (v *view) age(p page) int { return v.today.Since(p.Date) }

// within returns the pages whose day lies from to to days ago, bounds included.
func (v *view) within(from, to int) []page {
	var out []page
	for _, p := range v.pages {
		if a := v.age(p); a >= from && a <= to {
			out = append(out, p)
		}
	}
	return out
}

// runs returns the runs among pages.
func runs(pages []page) []page {
	return slices.DeleteFunc(slices.Clone(pages), func(p page) bool { return !p.Run })
}

// cite makes a reference to a field of the page.
func (p page) cite(field, value string) Cited { return Cited{p.ID, p.Date, field, value} }

// lowest returns the lowest value ever entered for a score.
func (p page) lowest(of func(Entry) Score) (int, bool) {
	low, any := 0, false
	for _, e := range p.versions {
		if s := of(e); s.entered && (!any || int(s.value) < low) {
			low, any = int(s.value), true
		}
	}
	return low, any
}

// Current returns the newest version of each entry that was not taken back,
// oldest day first: what a reader sees, while the rules see all versions.
func Current(log Log) []Entry {
	var out []Entry
	for _, p := range pagesOf(log.Entries) {
		if newest := p.versions[len(p.versions)-1]; !newest.Removed {
			out = append(out, newest)
		}
	}
	return out
}
