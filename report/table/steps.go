package table

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"

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
	for i := range w.cols {
		if i > 0 {
			w.row = append(w.row, ',')
		}
		w.row = w.cols[i].put(w.row, s)
	}
	w.end()
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

// WriteSteps writes steps.csv whole. Steps are written in the order given.
func WriteSteps(w io.Writer, steps []step.Step) error {
	sw := NewStepWriter(w)
	for i := range steps {
		sw.Write(&steps[i])
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
