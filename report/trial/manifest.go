package trial

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/gocarina/gocsv"
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// manifestRow is one row of a manifest. All cells are text: the reader's
// numbers would turn an empty cell into 0.
type manifestRow struct {
	Subject   string `csv:"subject"`
	Session   string `csv:"session"`
	Condition string `csv:"condition"`
	Run       string `csv:"run"`
	Side      string `csv:"side"`
	Injured   string `csv:"injured"`
	File      string `csv:"file"`
}

// ManifestColumns are the headings of a manifest, in the order in which they
// are documented. Subject and file must be there.
var ManifestColumns = []string{"subject", "session", "condition", "run", "side", "injured", "file"}

// ErrManifest is what every error of a manifest's text is.
var ErrManifest = errors.New("the manifest cannot be read")

// manifestError says itself what is wrong, and is ErrManifest.
type manifestError struct{ error }

func (e *manifestError) Unwrap() []error { return []error{e.error, ErrManifest} }

// manifestReader hands rows to gocsv and remembers on which line each began:
// gocsv itself counts records, which line breaks within quotes put off.
type manifestReader struct {
	*csv.Reader
	lines []int
}

// Read returns the next row with its cells trimmed; the heading in lower case.
func (r *manifestReader) Read() ([]string, error) {
	row, err := r.Reader.Read()
	if err != nil {
		return row, err
	}
	line, _ := r.FieldPos(0)
	for i := range row {
		row[i] = strings.TrimSpace(row[i])
		if len(r.lines) == 0 {
			row[i] = strings.ToLower(strings.TrimPrefix(row[i], "\ufeff"))
		}
	}
	r.lines = append(r.lines, line)
	return row, nil
}

// ReadAll reads every row.
func (r *manifestReader) ReadAll() ([][]string, error) {
	var out [][]string
	for {
		row, err := r.Read()
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		out = append(out, row)
	}
}

// byManifest reads the recordings of a manifest, whose file names are relative
// to the manifest's own folder.
func (p *Plan) byManifest(name string) error {
	f, err := os.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	rows, lines, err := p.readManifest(f, filepath.Base(name))
	if err != nil {
		return &manifestError{err}
	}
	var g gather
	for i, row := range rows {
		p.manifestRow(&g, row, name, lines[i])
	}
	p.Items = g.items
	return nil
}

// readManifest decodes a manifest after its headings were checked: gocsv takes
// the last of two equal headings and leaves a missing one empty, both silently.
func (p *Plan) readManifest(r io.Reader, name string) ([]*manifestRow, []int, error) {
	text, err := io.ReadAll(transform.NewReader(r, unicode.BOMOverride(encoding.Nop.NewDecoder())))
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", name, cause(err))
	}
	if !bytes.Contains(text, []byte("\n")) { // a spreadsheet's oldest form of text
		text = bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
	}
	cr := &manifestReader{Reader: csv.NewReader(bytes.NewReader(text))}
	cr.Comma = separator(text)
	all, err := cr.ReadAll()
	if err != nil {
		var parse *csv.ParseError
		if errors.As(err, &parse) {
			if errors.Is(err, csv.ErrFieldCount) {
				return nil, nil, fmt.Errorf("%s:%d: not as many cells as there are headings; a cell with the separator in it needs quotes", name, parse.Line)
			}
			return nil, nil, fmt.Errorf("%s:%d: %w", name, parse.Line, parse.Err)
		}
		return nil, nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(all) == 0 {
		return nil, nil, fmt.Errorf("%s:1: empty, where the headings %s should be", name, strings.Join(ManifestColumns, ", "))
	}
	if err := p.manifestHeadings(all[0], name); err != nil {
		return nil, nil, err
	}
	var rows []*manifestRow
	if len(all) > 1 {
		if err := gocsv.UnmarshalCSV(&replay{all}, &rows); err != nil {
			return nil, nil, fmt.Errorf("%s: %w", name, err)
		}
	}
	return rows, cr.lines[1:], nil
}

// separator is what parts the headings: a spreadsheet writes a semicolon where the
// comma is the decimal mark, and a tab as "text".
func separator(text []byte) rune {
	head, _, _ := bytes.Cut(text, []byte("\n"))
	for _, c := range []rune{',', ';', '\t'} {
		if bytes.ContainsRune(head, c) {
			return c
		}
	}
	return ','
}

// replay hands read rows to gocsv.
type replay struct{ rows [][]string }

func (r *replay) Read() ([]string, error) {
	if len(r.rows) == 0 {
		return nil, io.EOF
	}
	row := r.rows[0]
	r.rows = r.rows[1:]
	return row, nil
}

func (r *replay) ReadAll() ([][]string, error) {
	rows := r.rows
	r.rows = nil
	return rows, nil
}

// manifestHeadings checks the first row.
func (p *Plan) manifestHeadings(row []string, name string) error {
	for i, heading := range row {
		if !slices.Contains(ManifestColumns, heading) {
			p.doubt(name, 1, "column %q is not known and was not used; known are %s", heading, strings.Join(ManifestColumns, ", "))
		}
		if slices.Contains(row[:i], heading) {
			return fmt.Errorf("%s:1: column %q is there twice", name, heading)
		}
	}
	for _, need := range []string{"subject", "file"} {
		if !slices.Contains(row, need) {
			return fmt.Errorf("%s:1: no column %q", name, need)
		}
	}
	return nil
}

// manifestRow adds one row's file.
func (p *Plan) manifestRow(g *gather, row *manifestRow, name string, line int) {
	short := filepath.Base(name)
	side, ok := sideOf(row.Side)
	if !ok {
		p.doubt(short, line, "column \"side\": %q is not a side; the row was left out", row.Side)
		return
	}
	injured, ok := injuredOf(row.Injured)
	if !ok {
		p.doubt(short, line, "column \"injured\": %q is not left, right, both or unknown; the row was left out", row.Injured)
		return
	}
	if row.Subject == "" || row.File == "" {
		p.doubt(short, line, "no subject or no file; the row was left out")
		return
	}
	path := filepath.FromSlash(row.File)
	if !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(name), path)
	}
	p.absent(path, row.File, short, line)
	it := g.add(labels{row.Subject, row.Session, row.Condition, row.Run}, File{Path: p.relative(path), Side: side})
	p.setInjured(it, injured, short, line)
}

// absent doubts a row whose file is not there. The row stays, so that its recording
// is counted as one that failed.
func (p *Plan) absent(path, written, name string, line int) {
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		p.doubt(name, line, "column \"file\": %s is a folder", written)
	case err == nil:
	case !errors.Is(err, fs.ErrNotExist):
		p.doubt(name, line, "column \"file\": %s cannot be read: %v", written, cause(err))
	case strings.Contains(written, `\`) && filepath.Separator == '/':
		p.doubt(name, line, "column \"file\": there is no file %s; folders are parted by / in a manifest", written)
	default:
		p.doubt(name, line, "column \"file\": there is no file %s", written)
	}
}
