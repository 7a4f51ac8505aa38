package web

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// headings are the bare column names of files that could not be read, so that
// someone can say which is which; a file that is not a plain table is left out.
// Files with the same names stand together.
func headings(in *intake) []columnGroup {
	var out []columnGroup
	for i, f := range in.files {
		names := headingOf(in, i)
		if names == nil {
			continue
		}
		g := columnGroup{Files: []string{f.Name}, unread: in.blamed(f.Name)}
		for k, n := range names {
			g.Columns = append(g.Columns, seenColumn{Name: n, Index: k + 1, Role: guess(n)})
		}
		if at := slices.IndexFunc(out, g.like); at >= 0 && !in.single {
			out[at].Files, out[at].unread = append(out[at].Files, f.Name), out[at].unread || g.unread
			continue
		}
		out = append(out, g)
	}
	return out
}

// blamed tells whether a problem is this file's, or may be.
func (in *intake) blamed(name string) bool {
	return slices.ContainsFunc(in.problems, func(p problem) bool { return p.File == "" || p.File == name })
}

const (
	// lookAt is how much of a file is looked at, bytes, and lookLines how many lines.
	lookAt    = 64 << 10
	lookLines = 60
	// leastColumns is how many columns a table of motion has at least.
	leastColumns = 3
)

// isText tells a file that a program may have written as a table from one that is
// nothing of the kind, such as a picture: no text but UTF-16, which begins with a mark,
// holds a zero byte. A packed file may hold one.
func (in *intake) isText(n int) bool {
	f, err := in.root.Open(in.path(n))
	if err != nil {
		return false
	}
	defer f.Close()
	head, err := io.ReadAll(io.LimitReader(f, lookAt))
	marked := slices.ContainsFunc(mayHaveZeros, func(mark string) bool { return bytes.HasPrefix(head, []byte(mark)) })
	return err == nil && (marked || bytes.IndexByte(head, 0) < 0)
}

// mayHaveZeros are the first bytes of UTF-16, gzip and zip.
var mayHaveZeros = []string{"\xff\xfe", "\xfe\xff", "\x1f\x8b", "PK\x03\x04"}

func headingOf(in *intake, n int) []string {
	if !in.isText(n) {
		return nil
	}
	f, err := in.root.Open(in.path(n))
	if err != nil {
		return nil
	}
	defer f.Close()
	scan := bufio.NewScanner(io.LimitReader(f, lookAt))
	scan.Buffer(nil, lookAt)
	for line := 0; scan.Scan() && line < lookLines; line++ {
		text := strings.TrimPrefix(scan.Text(), "\ufeff")
		for _, sep := range []rune{',', ';', '\t'} {
			r := csv.NewReader(strings.NewReader(text))
			r.Comma, r.LazyQuotes = sep, true
			cells, err := r.Read()
			if err == nil && len(cells) >= leastColumns && wordy(cells) {
				return cells
			}
		}
	}
	return nil
}

// wordy tells a heading from a row of numbers.
func wordy(cells []string) bool {
	for i, c := range cells {
		cells[i] = strings.TrimSpace(c)
		if _, err := strconv.ParseFloat(cells[i], 64); err == nil || cells[i] == "" || len(cells[i]) > 60 {
			return false
		}
	}
	return true
}

var (
	timeName = regexp.MustCompile(`(?i)^(t|time|zeit|epoc|stamp|elapsed)`)
	accName  = regexp.MustCompile(`(?i)(^|[^a-z])a(cc|ccel|cceleration)?[ _.-]*([xyz])([^a-z]|$)`)
	gyrName  = regexp.MustCompile(`(?i)(^|[^a-z])(g|w|gyr|gyro|omega|rot|rate)[ _.-]*([xyz])([^a-z]|$)`)
)

// guess is a first proposal for a column, to be corrected by hand.
func guess(name string) string {
	if m := accName.FindStringSubmatch(name); m != nil {
		return "acc_" + strings.ToLower(m[3])
	}
	if m := gyrName.FindStringSubmatch(name); m != nil {
		return "gyr_" + strings.ToLower(m[3])
	}
	if timeName.MatchString(name) {
		return "time"
	}
	return ""
}
