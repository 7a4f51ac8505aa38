package web

import (
	"math"
	"net/http"
	"strconv"
	"strings"

	"setdown/gait/diary"
	"setdown/gait/recovery"
)

// form reads the fields of a form and keeps the first mistake.
type form struct {
	r   *http.Request
	err error
}

// longestText is how many bytes a field of a form may have.
const longestText = 2000

func (f *form) text(name string) string {
	v := strings.TrimSpace(strings.ToValidUTF8(f.r.PostFormValue(name), ""))
	if len(v) > longestText {
		f.fail("the field %s holds more than %d characters", name, longestText)
		return ""
	}
	return v
}

func (f *form) fail(format string, args ...any) {
	if f.err == nil {
		f.err = bad(format, args...)
	}
}

// number reads a number with a decimal point or comma; nil when empty.
func (f *form) number(name string) *float64 {
	text := f.text(name)
	if text == "" {
		return nil
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > 1e6 {
		f.fail("%q is not a number (field %s)", text, strings.ReplaceAll(name, "_", " "))
		return nil
	}
	return &v
}

// plain is number with 0 for an empty field.
func (f *form) plain(name string) float64 {
	v := f.number(name)
	if v == nil {
		return 0
	}
	if *v < 0 {
		f.fail("the field %s cannot be negative", strings.ReplaceAll(name, "_", " "))
	}
	return *v
}

func (f *form) whole(name string) int {
	v := f.plain(name)
	if v != math.Trunc(v) {
		f.fail("the field %s takes a whole number", strings.ReplaceAll(name, "_", " "))
	}
	return int(v)
}

// pace reads minutes a kilometre as 6:15 or 6.25 and gives m/s.
func (f *form) pace(name string) *float64 {
	text := f.text(name)
	if text == "" {
		return nil
	}
	minutes, seconds, both := strings.Cut(text, ":")
	m, err := strconv.ParseFloat(strings.Replace(minutes, ",", ".", 1), 64)
	var sec float64
	if both && err == nil {
		sec, err = strconv.ParseFloat(seconds, 64)
	}
	m += sec / 60
	if err != nil || !(m > 1) || m > 60 || sec >= 60 || sec < 0 {
		f.fail("%q is not a pace; write minutes a kilometre, for example 6:15", text)
		return nil
	}
	speed := 1000 / (60 * m)
	return &speed
}

// blocks reads alternating stretches; nil when empty.
func (f *form) blocks(name string) []recovery.Block {
	text := f.text(name)
	if text == "" {
		return nil
	}
	out, err := recovery.ParseBlocks(text)
	if err != nil {
		f.fail("%v; write the label, and its begin and end, for example usual:1:00-3:00, quick:3:00-5:00", err)
	}
	return out
}

func (f *form) answer(name string) diary.Answer {
	a, err := diary.ParseAnswer(f.text(name))
	if err != nil {
		f.fail("%v", err)
	}
	return a
}

func (f *form) date(name string) diary.Date {
	text := f.text(name)
	if text == "" {
		return diary.Date{}
	}
	d, err := diary.ParseDate(text)
	if err != nil {
		f.fail("%v", err)
	}
	return d
}

// score reads a slider, where −1 and "" are "not entered".
func (f *form) score(name string) diary.Score {
	text := f.text(name)
	if text == "" || text == "-1" {
		return diary.Score{}
	}
	v, err := strconv.Atoi(text)
	if err != nil {
		f.fail("%q is not a score from 0 to 10", text)
		return diary.Score{}
	}
	s, err := diary.Scored(v)
	if err != nil {
		f.fail("%v", err)
	}
	return s
}
