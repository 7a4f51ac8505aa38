package recording

import (
	"strconv"
	"strings"
)

// monthNames lists, per month, the first letters of its name in English, German,
// French, Spanish, Italian and Dutch, folded; longer ones first where one begins
// with another.
var monthNames = [12][]string{
	{"jan", "jän", "ene", "gen"}, {"feb", "fev"}, {"mar", "maa", "mrt"}, {"apr", "avr", "abr"}, {"mai", "may", "mag", "mei"}, {"juin", "jun", "giu"},
	{"juil", "jul", "lug"}, {"aug", "aou", "ago"}, {"sep", "set"}, {"oct", "okt", "ott"}, {"nov"}, {"dec", "dez", "dic"},
}

// monthOf returns 1 to 12 for the name of a month, or 0.
func monthOf(name string) int {
	name = fold(name)
	for m, starts := range monthNames {
		for _, s := range starts {
			if strings.HasPrefix(name, s) {
				return m + 1
			}
		}
	}
	return 0
}

// Ways to write a point in time beside those that parseMoment reads at once.
var (
	// 2024-03-09_08-30-00.250, 2024_03_09_08_30_00, 2024-03-09-08:30:00.
	joinedMoment = pattern(`^(\d{4})[-_./](\d{2})[-_./](\d{2})[-_ T](\d{2})[-_:.](\d{2})[-_:.](\d{2})(.*)$`)
	// 20240309T083000.250Z, 20240309 08:30:00.250, 20240309083000.250: ISO 8601
	// basic format and what is near it.
	packedMoment = pattern(`^((?:19|20)\d{2})([01]\d)([0-3]\d)[T _-]?([0-2]\d):?([0-5]\d):?([0-6]\d)((?:[^\d].*)?)$`)
	// 08h30m00.250s.
	letteredTime = pattern(`^(\d{1,2}) ?h ?(\d{1,2}) ?(?:m|min) ?(\d{1,2}(?:[.,]\d+)?) ?s?$`)
	// 0 days 00:00:01.250: a time since the start, below a day.
	spanTime = pattern(`^0 days?,? \+?(\d{1,2}:\d{2}:\d{2}(?:[.,]\d+)?)$`)
	// 09.03.24 08:30:00.
	shortYear = pattern(`^(\d{1,2})([./-])(\d{1,2})([./-])(\d{2})([ T].*)$`)
	// Sat 2024-03-09 08:30:00, with the day of the week before numbers.
	weekdayFirst = pattern(`^\pL{2,12}\.?,? +(\d{1,4}[-./]\d{1,2}[-./]\d{1,4}[T ,].*)$`)
	// 9 March 2024 08:30:00, 09-Mar-2024 08:30:00, Sat, 9. März 2024, 08:30:00.
	dayMonthYear = pattern(`^(?:\pL+\.?,? +)?(\d{1,2})\.?[- /]+(?:de +)?(\pL+)\.?,?[- /]+(?:de +)?(\d{4}),?[ T-]+(?:at +|um +)?(\d.*)$`)
	// March 9, 2024 8:30:00 AM.
	monthDayYear = pattern(`^(?:\pL+\.?,? +)?(\pL+)\.? +(\d{1,2}),? +(\d{4}),? +(?:at +)?(\d.*)$`)
	// Sat Mar 9 08:30:00.250 2024, with or without a zone before the year.
	yearLast = pattern(`^(?:\pL+\.?,? +)?(\pL+)\.? +(\d{1,2}),? +(\d{1,2}:\d{2}:\d{2}\S*)(?: +(\S+))? +(\d{4})$`)
)

// mostCommas is how many commas a point in time has at the most: three about its
// date, one before parts of a second. A line of numbers, taken for one cell while
// delimiters are tried, has more, and is not worth seven expressions.
const mostCommas = 4

// respell writes a point in time in another notation the way parseMoment reads
// it at once; "" when it is none.
func respell(text string) string {
	text = strings.TrimSpace(text)
	if len(text) < 8 || len(text) > 64 || strings.Count(text, ",") > mostCommas {
		return ""
	}
	switch {
	case joinedMoment().MatchString(text):
		return joinedMoment().ReplaceAllString(text, "$1-$2-$3 $4:$5:$6$7")
	case packedMoment().MatchString(text):
		return packedMoment().ReplaceAllString(text, "$1-$2-$3 $4:$5:$6$7")
	case letteredTime().MatchString(text):
		return letteredTime().ReplaceAllString(text, "$1:$2:$3")
	case spanTime().MatchString(text):
		return spanTime().ReplaceAllString(text, "$1")
	case shortYear().MatchString(text):
		return shortYear().ReplaceAllString(text, "$1$2$3${4}20$5$6")
	}
	if m := weekdayFirst().FindStringSubmatch(text); m != nil {
		return m[1]
	}
	if m := dayMonthYear().FindStringSubmatch(text); m != nil {
		return named(m[3], m[2], m[1], m[4])
	}
	if m := monthDayYear().FindStringSubmatch(text); m != nil {
		return named(m[3], m[1], m[2], m[4])
	}
	if m := yearLast().FindStringSubmatch(text); m != nil {
		return named(m[5], m[1], m[2], strings.TrimSpace(m[3]+" "+m[4]))
	}
	return ""
}

// named joins a date whose month is a word with the rest.
func named(year, month, day, rest string) string {
	m := monthOf(month)
	if m == 0 {
		return ""
	}
	d, _ := strconv.Atoi(day)
	pad := func(n int) string { return strconv.Itoa(100 + n)[1:] }
	return year + "-" + pad(m) + "-" + pad(d) + " " + rest
}
