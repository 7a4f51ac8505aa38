package recording_test

import (
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// noise is bytes of any value, the same for each test.
func noise(n int) string {
	r := rand.New(rand.NewPCG(1, 1))
	out := make([]byte, n)
	for i := range out {
		out[i] = byte(r.Uint32())
	}
	return string(out)
}

// A file of another kind with a name that ends in .csv is named for what it is, in
// one line, with what to do next.
func TestFilesOfAnotherKindAreNamed(t *testing.T) {
	archive := func(names ...string) string {
		return string(zipped(t, names, func(string) io.Reader { return strings.NewReader("<x/>") }))
	}
	gz := func(text string) string {
		var b bytes.Buffer
		w := gzip.NewWriter(&b)
		_, err := w.Write([]byte(text))
		require.NoError(t, errors.Join(err, w.Close()))
		return b.String()
	}
	const page = "<!DOCTYPE html>\n<html><body><table><tr><td>1, 2, 3</td></tr></table></body></html>\n"
	for data, want := range map[string][2]string{
		archive("[Content_Types].xml", "xl/workbook.xml"):                {"is a spreadsheet workbook (.xlsx)", "save the sheet as CSV"},
		archive("[Content_Types].xml", "word/document.xml"):              {"is an office document", "as CSV"},
		archive("mimetype", "content.xml"):                               {"(such as .ods)", "save the sheet as CSV"},
		archive("doc.pdf"):                                               {"no .csv, .tsv or .txt file in the archive", "it holds doc.pdf"},
		archive():                                                        {"is an empty archive", "CSV files"},
		"PK\x03\x04" + noise(300):                                        {"damaged zip archive", "export the file again"},
		"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + strings.Repeat("\x00", 900): {"(such as .xls)", "save the sheet as CSV"},
		"%PDF-1.7\n1 0 obj\n<< /Length 3 4 5 >>\n" + noise(2000):         {"is a PDF document", "export the recording as CSV"},
		"\x0e\x20\x54\x08\xa0\x0f\x00\x00.FIT\x00\x00" + noise(2000):     {"binary file (.fit)", "export the recording as CSV"},
		"\x89PNG\r\n\x1a\n" + noise(2000):                                {"is a picture", "export the recording as CSV"},
		"\xff\xd8\xff\xe0" + noise(2000):                                 {"is a picture", "export the recording as CSV"},
		noise(5000):                                                      {"is a binary file", "export the recording as CSV"},
		page:                                                             {"is a web page (HTML)", "download the recording again"},
		"\ufeff\n " + page:                                               {"is a web page (HTML)", "download the recording again"},
		gz(page):                                                         {"is a web page (HTML)", "download the recording again"},
		"<?xml version=\"1.0\"?>\n<gpx><trkpt lat=\"1.5\"/></gpx>":       {"is an XML file", "export the recording as CSV"},
		"{ \"error\": \"no such recording\", \"code\": 404 }":            {"is a JSON file", "export the recording as CSV"},
		"": {"the file is empty", "export the recording again"},
	} {
		_, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left.csv", []byte(data), recording.Left)}, recording.Options{})
		var e *recording.Error
		require.ErrorAs(t, err, &e, "%.40q", data)
		require.Contains(t, e.Error(), "left.csv: ")
		require.Contains(t, e.Error(), want[0])
		require.Contains(t, e.Hint, want[1])
		require.NotContains(t, e.Error(), "\n")
	}
}

// What a file is named says nothing: a table is read under any name, and words
// before the table that only look like another language do no harm.
func TestATableUnderAnotherNameIsRead(t *testing.T) {
	src := dialects.Dialect{}.Sources(dialects.Swinging(200, 5, 0), dialects.Swinging(200, 5, 0))[0]
	r, err := src.Open()
	require.NoError(t, err)
	table, err := io.ReadAll(r)
	require.NoError(t, err)
	for name, before := range map[string]string{"left.xlsx": "", "left.pdf": "# {sensor}\n", "left.csv": "<sensor 7>, firmware 2\n",
		"left.fit": "activity.FIT\n", "left.json": "{\"device\": \"a1\", \"bits\": 16}\n", "left.parquet": "PAR1 recorded on grass\n"} {
		set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes(name, append([]byte(before), table...), recording.Left)}, recording.Options{})
		require.NoError(t, err, name)
		require.Len(t, set.Tracks, 1)
	}
}
