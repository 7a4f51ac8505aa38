package dialects

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// Forms are ways to write the plain recording that keep every digit of its values:
// they must read to the very same numbers.
func Forms() []Dialect { return slices.Concat(notes(), parts(), wholeSeconds()) }

// notes describe the columns in rows under the heading.
func notes() []Dialect {
	row := func(cells string) []string { return strings.Split(cells, "|") }
	units := row("s|m/s2|m/s2|m/s2|rad/s|rad/s|rad/s")
	words := row("elapsed time|acceleration forward|acceleration left|acceleration up|rate about x|rate about y|rate about z")
	kinds := row("float|float|float|float|float|float|float")
	marked := func(cells []string) []string { return append([]string{"# " + cells[0]}, cells[1:]...) }
	bare := func(name string, rows ...[]string) Dialect {
		return Dialect{Name: name, TimeHead: []string{"time"}, AccHead: head("a", ""), GyrHead: head("g", ""), Notes: rows}
	}
	return []Dialect{
		bare("units, then notes", units, words),
		bare("notes, then units", words, units),
		bare("notes, units and kinds", words, units, kinds),
		bare("kinds of number", kinds),
		bare("two comment rows", marked(units), marked(kinds)),
		bare("units, then a sentence", units, row("Acceleration in m/s2| rates in rad/s")),
		bare("notes with units", row("s since start|forward (m/s2)|left (m/s2)|up (m/s2)|about x (rad/s)|about y (rad/s)|about z (rad/s)")),
	}
}

// parts write a point in time in columns of its parts.
func parts() []Dialect {
	form := func(name, heads, layout string) Dialect {
		return Dialect{Name: "time in parts: " + name, TimeHead: strings.Split(heads, ","), Unmapped: true, Time: func(_ int, t float64) []string {
			return strings.Split(began.Add(time.Duration(math.Round(t*1e9))).Format(layout), ",")
		}}
	}
	micro := func(_ int, t float64) []string {
		at := began.Add(time.Duration(math.Round(t * 1e9)))
		return append(strings.Split(at.Format("15,4,5"), ","), fmt.Sprint(at.Nanosecond()/1e6), fmt.Sprint(at.Nanosecond()/1e3%1000))
	}
	late := func(_ int, t float64) []string {
		t += 3594.5 // the hour, and with it the minutes, starts again
		return []string{fmt.Sprint(int(t/60) % 60), fmt.Sprintf("%.3f", math.Mod(t, 60))}
	}
	night := func(_ int, t float64) []string {
		at := began.Add(time.Duration(math.Round(t*1e9)) + 15*time.Hour + 29*time.Minute + 53*time.Second)
		return strings.Split(at.Format("15,04,05.000"), ",")
	}
	return []Dialect{
		form("year to second", "year,month,day,hour,minute,second", "2006,1,2,15,4,5.000"),
		form("single letters", "Y,M,D,h,m,s", "2006,1,2,15,4,5.000"),
		form("German", "Jahr,Monat,Tag,Stunde,Minute,Sekunde", "2006,01,02,15,04,05.000"),
		form("date and hour to second", "date,hh,mm,ss", "2006-01-02,15,04,05.000"),
		form("date in parts and clock", "year,month,day,time", "2006,1,2,15:04:05.000"),
		form("hour to second", "UTC hour,UTC minute,UTC second", "15,4,5.000"),
		form("digits", "date,time", "20060102,150405.000"),
		form("digits without a date", "time_hhmmss", "150405.000"),
		{Name: "time in parts: ms and us", TimeHead: []string{"hour", "minute", "second", "millisecond", "microsecond"}, Time: micro, Unmapped: true},
		{Name: "time in parts: minutes and seconds", TimeHead: []string{"minutes", "seconds"}, Unmapped: true, Time: func(_ int, t float64) []string {
			return []string{fmt.Sprint(int((t + 55) / 60)), fmt.Sprintf("%.3f", math.Mod(t+55, 60))}
		}, Start: 55},
		{Name: "time in parts: minutes that start again", TimeHead: []string{"min", "s"}, Unmapped: true, Time: late, Start: 3594.5},
		{Name: "time in parts: across midnight", TimeHead: []string{"hour", "minute", "second"}, Unmapped: true, Time: night},
	}
}

// wholeSeconds stamp with whole seconds, from the first row of one on.
func wholeSeconds() []Dialect {
	return []Dialect{
		{Name: "whole seconds since 1970", TimeHead: []string{"unix"}, Time: func(_ int, t float64) []string { return []string{fmt.Sprint(began.Unix() + int64(t+1e-9))} }},
		{Name: "whole seconds since the start", TimeHead: []string{"time_s"}, Time: func(_ int, t float64) []string { return []string{fmt.Sprint(int(t + 1e-9))} }},
		{Name: "whole seconds in parts", TimeHead: []string{"hour", "minute", "second"}, Unmapped: true, Time: func(_ int, t float64) []string {
			return strings.Split(began.Truncate(time.Second).Add(time.Duration(int(t+1e-9))*time.Second).Format("15,4,5"), ",")
		}},
	}
}
