// Package remark carries what must reach the reader of a result: a gap that
// was found, a unit that was inferred, a measure that was withheld.
//
// A remark is data, not text on a stream: every stage returns its remarks, and
// the report, the command line and the web page all show the same ones.
package remark

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// Level says how much a remark weighs.
type Level uint8

// The levels, from the lightest.
const (
	// Note informs: a choice that was made, nothing was lost.
	Note Level = iota
	// Doubt says that a number may be wrong or was inferred.
	Doubt
	// Loss says that data were left out or a measure was withheld.
	Loss
)

// String returns "note", "doubt" or "loss".
func (l Level) String() string { return [...]string{"note", "doubt", "loss"}[l] }

// MarshalText writes the level as its word.
func (l Level) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// Place is where in the input a remark belongs. Zero fields are unknown.
type Place struct {
	// File is the input's name without folders.
	File string
	// Line is the 1-based line in the file; 0 when it belongs to no line.
	Line int
	// Time is seconds on the input's time axis; NaN when it belongs to no time.
	Time float64
}

// At makes a place. Pass line 0 or a NaN time where there is none.
func At(file string, line int, time float64) Place { return Place{file, line, time} }

// In makes a place that names a file only.
func In(file string) Place { return Place{file, 0, math.NaN()} }

// String prints "file:line (at 1.234 s)" with the parts that are known.
func (p Place) String() string {
	s := p.File
	if p.Line > 0 {
		s += ":" + strconv.Itoa(p.Line)
	}
	if !math.IsNaN(p.Time) {
		s += fmt.Sprintf(" (at %.3f s)", p.Time)
	}
	return s
}

// Remark is one thing the reader must know.
type Remark struct {
	// Code is a stable short name, for example "gap" or "unit-inferred".
	Code  string
	Level Level
	Place Place
	// Count is how many times it happened; Place is the first. At least 1.
	Count int
	// Text is one plain sentence without file name or final full stop.
	Text string
}

// String prints the remark as one line, place first.
func (r Remark) String() string {
	if p := r.Place.String(); p != "" {
		return p + ": " + r.Text
	}
	return r.Text
}

// List collects remarks. The zero value is ready for use. A List is not safe
// for concurrent use: give each goroutine its own and Join them in a fixed
// order, so that the output does not depend on the number of workers.
type List struct{ items []Remark }

// Add appends a remark with Count 1.
func (l *List) Add(level Level, code string, at Place, format string, args ...any) {
	l.items = append(l.items, Remark{code, level, at, 1, fmt.Sprintf(format, args...)})
}

// Append appends remarks as they are.
func (l *List) Append(rs ...Remark) { l.items = append(l.items, rs...) }

// Join appends the remarks of other.
func (l *List) Join(other *List) { l.items = append(l.items, other.items...) }

// Len returns how many remarks there are.
func (l *List) Len() int { return len(l.items) }

// Sorted returns a copy ordered by file, line, time, code and text.
func (l *List) Sorted() []Remark {
	out := slices.Clone(l.items)
	slices.SortStableFunc(out, func(a, b Remark) int {
		return cmp.Or(
			cmp.Compare(a.Place.File, b.Place.File), cmp.Compare(a.Place.Line, b.Place.Line),
			cmp.Compare(a.Place.Time, b.Place.Time), cmp.Compare(a.Code, b.Code), cmp.Compare(a.Text, b.Text))
	})
	return out
}
