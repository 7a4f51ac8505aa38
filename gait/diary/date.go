package diary

import (
	"fmt"
	"time"
)

// Date is a day of the civil calendar, without a clock time or a zone: the day
// as the runner lived it. The zero Date is "not entered".
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// On makes a Date from year, month and day, normalised as time.Date does.
func On(year int, month time.Month, day int) Date {
	return DateOf(time.Date(year, month, day, 0, 0, 0, 0, time.UTC))
}

// DateOf returns the civil date of t in t's own zone.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date{y, m, d}
}

// ParseDate reads YYYY-MM-DD (the full-date of RFC 3339 §5.6). The error names
// the form wanted.
func ParseDate(text string) (Date, error) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return Date{}, fmt.Errorf("%q is not a date; write it as 2026-05-31", text)
	}
	return DateOf(t), nil
}

// IsZero tells whether d is "not entered".
func (d Date) IsZero() bool { return d == Date{} }

// days counts days from 1970-01-01.
func (d Date) days() int {
	return int(time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// Since returns the days from e to d: positive when d is later.
func (d Date) Since(e Date) int { return d.days() - e.days() }

// After tells whether d is later than e.
func (d Date) After(e Date) bool { return d.days() > e.days() }

// Add returns the date n days later.
func (d Date) Add(n int) Date { return On(d.Year, d.Month, d.Day+n) }

// String prints YYYY-MM-DD, and "" for the zero Date.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day)
}

// MarshalText writes the date as String does.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what MarshalText wrote; empty text is the zero Date.
func (d *Date) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*d = Date{}
		return nil
	}
	v, err := ParseDate(string(text))
	*d = v
	return err
}
