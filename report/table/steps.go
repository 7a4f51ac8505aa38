package table

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"

	"setdown/gait/estimate"
	"setdown/gait/step"
)

// StepWriter writes steps.csv row by row: comma, a header row, lines that end
// with LF, cells quoted as RFC 4180 says. A row costs no allocation, so that a
// recording of many hours can be written while it is read.
type StepWriter struct {
	w    *bufio.Writer
	cols []column
	row  []byte
}

// NewStepWriter writes the header row and returns a writer of rows. Errors of
// w are reported by Flush.
func NewStepWriter(w io.Writer) *StepWriter {
	s := &StepWriter{w: bufio.NewWriter(w), cols: columns()}
	for i, c := range s.cols {
		if i > 0 {
			s.row = append(s.row, ',')
		}
		s.row = append(s.row, c.name...)
	}
	s.end()
	return s
}

// Write writes one step.
func (w *StepWriter) Write(s *step.Step) {
	w.row = w.cells(w.row, s)
	w.end()
}

// cells appends the cells of a step to dst.
func (w *StepWriter) cells(dst []byte, s *step.Step) []byte {
	for i := range w.cols {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = w.cols[i].put(dst, s)
	}
	return dst
}

// rows appends the rows of steps to dst.
func (w *StepWriter) rows(dst []byte, steps []step.Step) []byte {
	for i := range steps {
		dst = append(w.cells(dst, &steps[i]), '\n')
	}
	return dst
}

// end writes the row and makes room for the next. A bufio.Writer keeps its
// first error and returns it from Flush.
func (w *StepWriter) end() {
	w.row = append(w.row, '\n')
	_, _ = w.w.Write(w.row)
	w.row = w.row[:0]
}

// Flush writes what is buffered and returns the first error met so far.
func (w *StepWriter) Flush() error { return w.w.Flush() }

// pieceRows is how many rows a core makes at a time: enough to be worth starting,
// few enough that their text takes little memory.
const pieceRows = 1024

// WriteSteps writes steps.csv whole. Steps are written in the order given. Rows
// have nothing in common, so pieces of them are made side by side.
func WriteSteps(w io.Writer, steps []step.Step) error {
	sw := NewStepWriter(w)
	texts := make([][]byte, runtime.GOMAXPROCS(0))
	for part := range slices.Chunk(steps, pieceRows*len(texts)) {
		estimate.Each(len(texts), func(i int) {
			from, to := min(i*pieceRows, len(part)), min((i+1)*pieceRows, len(part))
			texts[i] = sw.rows(texts[i][:0], part[from:to])
		})
		for _, text := range texts {
			_, _ = sw.w.Write(text) // Flush returns the error
		}
	}
	return sw.Flush()
}

// ReadSteps reads a steps.csv. Name is used in errors only.
//
// Every column that StepWriter writes must be there, once, in any order; other
// columns are allowed and skipped, so that a later version may add some. An
// empty number cell becomes NaN. Step.Curve is not part of the file and stays
// nil. Errors name file, line and column.
func ReadSteps(r io.Reader, name string) ([]step.Step, error) {
	cr := csv.NewReader(r)
	cr.ReuseRecord = true
	header, err := cr.Read()
	if err == io.EOF {
		return nil, fmt.Errorf("%s:1: empty, where the headings of steps.csv should be", name)
	}
	if err != nil {
		return nil, place(name, err)
	}
	cols, err := match(header, name)
	if err != nil {
		return nil, err
	}
	var steps []step.Step
	for {
		row, err := cr.Read()
		if err == io.EOF {
			return steps, nil
		}
		if err != nil {
			return nil, place(name, err)
		}
		var s step.Step
		for i, cell := range row {
			if c := cols[i]; c.get != nil && !c.get(&s, cell) {
				line, _ := cr.FieldPos(i)
				return nil, fmt.Errorf("%s:%d: column %q: %q cannot be read", name, line, c.name, cell)
			}
		}
		steps = append(steps, s)
	}
}

// match returns, for each heading, the column that reads it; unknown headings
// get one without get.
func match(header []string, name string) ([]column, error) {
	header = slices.Clone(header)
	found := make([]column, len(header))
	for _, c := range columns() {
		i := slices.Index(header, c.name)
		if i < 0 {
			return nil, fmt.Errorf("%s:1: no column %q; a steps.csv has %d named columns", name, c.name, len(columns()))
		}
		if slices.Contains(header[i+1:], c.name) {
			return nil, fmt.Errorf("%s:1: column %q is there twice", name, c.name)
		}
		found[i] = c
	}
	return found, nil
}

// place puts name and line before an error of the CSV reader.
func place(name string, err error) error {
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		return fmt.Errorf("%s:%d: %w", name, parse.Line, parse.Err)
	}
	return fmt.Errorf("%s: %w", name, err)
}
