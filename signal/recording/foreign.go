package recording

import (
	"archive/zip"
	"bytes"
	"path"
	"slices"
	"strings"
)

// foreignKind is a kind of file that holds no table of samples as text, told by
// its first bytes, whatever its name says.
type foreignKind struct {
	// at is where one of the beginnings stands.
	at    int
	magic []string
	// text tells that text may follow; else bytes that no text has stand about it.
	text bool
	// what names the kind after "is", hint says what to do next.
	what, hint string
}

// What to do about the kinds.
const (
	saveSheet   = "open it in the spreadsheet program and save the sheet as CSV: renaming the file does not change what is in it"
	exportCSV   = "export the recording as CSV from the program that wrote it: renaming the file does not change what is in it"
	loadAgain   = "a site sends one in place of a file when a log-in or a link has run out: sign in and download the recording again"
	unpackFirst = "unpack it, and give the CSV file that is in it"
	packAgain   = "pack the recordings again, or give the CSV files themselves"
)

// foreignKinds are told by what their formats begin with (from memory; each is
// made in the tests by hand).
var foreignKinds = []foreignKind{
	{0, []string{"%PDF-"}, true, "a PDF document", exportCSV},
	{0, []string{"\x89PNG", "\xff\xd8\xff", "GIF8", "RIFF"}, false, "a picture or a film", exportCSV},
	{4, []string{"ftyp"}, false, "a picture or a film", exportCSV},
	{8, []string{".FIT"}, false, "a watch's own binary file (.fit)", exportCSV},
	{0, []string{"\xd0\xcf\x11\xe0"}, false, "a spreadsheet or another office document (such as .xls)", saveSheet},
	{0, []string{"{\\rtf"}, true, "a formatted text document (.rtf)", exportCSV},
	{0, []string{"Rar!", "7z\xbc\xaf", "BZh", "\xfd7zXZ", "\x28\xb5\x2f\xfd"}, false, "a packed archive of a kind that is not read (.gz and .zip are)", unpackFirst},
	{0, []string{"SQLite format 3\x00"}, false, "a database file", exportCSV},
	{0, []string{"PK\x05\x06"}, false, "an empty archive", packAgain},
	{0, []string{"PAR1"}, false, "a Parquet table", exportCSV},
	{0, []string{"\x89HDF\r\n", "MATLAB 5.0 MAT-file"}, true, "a binary file of a calculation program (such as .mat)", exportCSV},
}

// foreign tells whether the first bytes of a file, unpacked, are those of another
// kind of file: an *Error that names the kind, or nil.
func foreign(name string, head []byte) error {
	bytesOfNoText := controls(head[:min(len(head), beginBytes)]) > 0
	for _, k := range foreignKinds {
		begins := len(head) > k.at && slices.ContainsFunc(k.magic, func(m string) bool { return bytes.HasPrefix(head[k.at:], []byte(m)) })
		if begins && (k.text || bytesOfNoText) {
			return k.error(name)
		}
	}
	if k := markup(head); k != nil {
		return k.error(name)
	}
	if binary(head) {
		return foreignKind{what: "a binary file", hint: exportCSV}.error(name)
	}
	return nil
}

func (k foreignKind) error(name string) error {
	return fault(name, 0, "is %s, not a table of samples as text", k.what).hint("%s", k.hint)
}

// markup tells text in a language that no table begins with; nil where it is none.
func markup(head []byte) *foreignKind {
	text := strings.ToLower(strings.TrimLeft(string(head[:min(len(head), sniffBytes)]), "\ufeff \t\r\n"))
	begins := func(words ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return strings.HasPrefix(text, w) })
	}
	switch dense := strings.NewReplacer(" ", "", "\t", "", "\r", "", "\n", "").Replace(text); {
	case begins("<!doctype html", "<html", "<head", "<body"), begins("<?xml", "<!--") && strings.Contains(text, "<html"):
		return &foreignKind{what: "a web page (HTML)", hint: loadAgain}
	case begins("<?xml", "<gpx", "<trainingcenterdatabase"):
		return &foreignKind{what: "an XML file (such as .gpx or .tcx)", hint: exportCSV}
	case (strings.HasPrefix(dense, `{"`) || strings.HasPrefix(dense, `[{"`)) && !tableBehind(text):
		return &foreignKind{what: "a JSON file", hint: exportCSV}
	}
	return nil
}

// tableBehind tells whether a table begins behind a line in braces that describes it:
// the next line goes on with none of the signs that JSON goes on with.
func tableBehind(text string) bool {
	first, rest, _ := strings.Cut(text, "\n")
	rest = strings.TrimLeft(rest, " \t\r\n")
	return strings.HasSuffix(strings.TrimRight(first, " \t\r"), "}") && rest != "" && !strings.ContainsAny(rest[:1], "{}[],")
}

const (
	// sniffBytes is how much of a file is looked at, and beginBytes where the signs of
	// a format stand.
	sniffBytes, beginBytes = 512, 64
	// controlShare is the share of control characters that no text has: random
	// bytes have 26 in 256. A NUL is not counted, since a table that was damaged in
	// copying may hold thousands in a row.
	controlShare = 0.04
)

// binary tells whether the head has control characters as text has not.
func binary(head []byte) bool {
	head = head[:min(len(head), sniffBytes)]
	n := controls(bytes.ReplaceAll(head, []byte{0}, nil))
	return float64(n) > controlShare*float64(len(head))
}

// controls counts the control characters that no text has. UTF-16 has a NUL in every
// second byte, and no others.
func controls(head []byte) int {
	n := 0
	for _, c := range head {
		if c < ' ' && !bytes.ContainsRune([]byte("\t\n\v\f\r\x1a\x1b"), rune(c)) {
			n++
		}
	}
	return n
}

// noMember is the error of a zip archive without a table: many programs keep their
// documents in one.
func noMember(name string, members []*zip.File) error {
	has := func(begin string) bool {
		return slices.ContainsFunc(members, func(m *zip.File) bool { return strings.HasPrefix(m.Name, begin) })
	}
	switch {
	case has("xl/"):
		return foreignKind{what: "a spreadsheet workbook (.xlsx)", hint: saveSheet}.error(name)
	case has("word/"), has("ppt/"):
		return foreignKind{what: "an office document (such as .docx)", hint: exportCSV}.error(name)
	case has("mimetype") && has("content.xml"):
		return foreignKind{what: "a spreadsheet or another office document (such as .ods)", hint: saveSheet}.error(name)
	case len(members) == 0:
		return foreignKind{what: "an empty archive", hint: packAgain}.error(name)
	}
	return fault(name, 0, "no .csv, .tsv or .txt file in the archive").
		hint("it holds %s; give an archive of recordings as CSV", path.Base(members[0].Name))
}
