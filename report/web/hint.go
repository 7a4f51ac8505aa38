package web

import (
	"regexp"
	"strings"
)

// pageWords turn what a hint says to type into what is found on a page.
var pageWords = []struct {
	typed *regexp.Regexp
	here  string
}{
	{regexp.MustCompile(`; setdown inspect \S+ --save writes a file to edit| \(setdown inspect \S+ --save writes a file to edit\)`), ``},
	{regexp.MustCompile(`for raw counts give the scale with --columns`), `raw counts cannot be read here: export the recording in g and deg/s`},
	{regexp.MustCompile(`, or give the scale with --columns`), ` in g`},
	{regexp.MustCompile(`with --columns`), `under “Columns and units” below`},
	{regexp.MustCompile(`say which with --cadence-counts steps or --cadence-counts strides`), `say under “Columns and units” below what it counts, and read the files again`},
	{regexp.MustCompile(`(give the rate with|give the sampling rate with|count the rows with|give) --rate HZ`), `give the samples a second under “Columns and units” below`},
	{regexp.MustCompile(`look at what was read with: setdown inspect \S+`), `look at what was read and correct it under “Columns and units”`},
	{regexp.MustCompile(`(; |, )?see setdown inspect (--help for what is read|\S+)`), `; the help page says how to record and what to export`},
	{regexp.MustCompile(`for the step rate( alone)? use: setdown cadence \S+`), `send it alone to see its step rate`},
	{regexp.MustCompile(`, for example --left \S+ --right \S+`), ``},
	{regexp.MustCompile(`type: setdown (analyze|cadence) .*`), `choose the exported file of each foot`},
}

// onPage words a hint for someone who has a page and no command line.
func onPage(hint string) string {
	for _, w := range pageWords {
		hint = w.typed.ReplaceAllString(hint, w.here)
	}
	return strings.TrimPrefix(hint, "; ")
}
