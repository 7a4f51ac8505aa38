package trial

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"setdown/gait/step"
	"setdown/report/table"
)

// result is one recording's record with its session; Document is nil for a
// recording that failed.
type result struct {
	*record
	*table.Document
	version, method string
	// beside are the remarks that only the trial can make.
	beside []table.Remark
	// powers holds the power of each comparison in catalogue order.
	powers []float64
}

// load reads a recording's results.
func load(out string, it *Item, set written) (*result, error) {
	rec, ok := readRecord(out, it.ID)
	if !ok {
		return nil, fmt.Errorf("%s: no whole result in %s", it.ID, filepath.Join(recordingsDir, it.ID))
	}
	r := &result{record: rec, version: set.Version, method: set.Method}
	if rec.State != stateDone {
		return r, nil
	}
	f, err := os.Open(filepath.Join(recordDir(out, it.ID), sessionName))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if r.Document, err = table.ReadSession(f, it.ID+"/"+sessionName); err != nil {
		return nil, err
	}
	for i, metric := range step.Catalogue() {
		d, _ := r.Difference.Get(metric.Key)
		a, _ := r.Asymmetry.Get(metric.Key)
		r.powers = append(r.powers, power(d, float64(a.Floor), fewerUsed(r), set.Seed+uint64(i)))
	}
	return r, nil
}

// rowMaker collects the cells of one row.
type rowMaker struct{ cells []string }

// begin starts a row with the recording's labels.
func (m *rowMaker) begin(it *Item) {
	m.cells = append(m.cells[:0], it.ID, it.Subject, it.Session, it.Condition, it.Run)
}

func (m *rowMaker) text(cells ...string) { m.cells = append(m.cells, cells...) }

func (m *rowMaker) integer(v int) { m.cells = append(m.cells, strconv.Itoa(v)) }

func (m *rowMaker) number(values ...table.Number) {
	for _, v := range values {
		m.cells = append(m.cells, numberCell(float64(v)))
	}
}

func (m *rowMaker) boolean(v *bool) {
	if v == nil {
		m.cells = append(m.cells, "")
		return
	}
	m.cells = append(m.cells, strconv.FormatBool(*v))
}

// numberCell is the shortest decimal of v, "" where it does not exist.
func numberCell(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func orEmpty(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

// sideRows writes the rows of the table of sides.
func sideRows(r *result, write func([]string) error) error {
	var m rowMaker
	for i, counts := range []*table.StepCounts{r.Steps.Left, r.Steps.Right} {
		measures := []table.ByMetric[table.Estimate]{r.Sides.Left, r.Sides.Right}[i]
		if counts == nil {
			continue
		}
		m.begin(&r.record.Item)
		m.text(sideNames[i], r.Document.Injured, r.Gait)
		for _, n := range []int{counts.Found, counts.Used, counts.Rearfoot, counts.Midfoot, counts.Forefoot} {
			m.integer(n)
		}
		for _, metric := range step.Catalogue() {
			e, ok := measures.Get(metric.Key)
			if !ok {
				nan := table.Number(math.NaN())
				e = table.Estimate{Center: nan, Low: nan, High: nan}
			}
			m.number(e.Center, e.Low, e.High)
			m.integer(e.N)
		}
		if err := write(m.cells); err != nil {
			return err
		}
	}
	return nil
}

// sessionRow writes the recording's row in the table of sessions.
func sessionRow(r *result, write func([]string) error) error {
	var m rowMaker
	m.begin(&r.record.Item)
	m.text(r.State)
	if r.Document == nil {
		m.text(r.Failure.String())
		m.text(make([]string, 14)...)
	} else {
		m.text("", r.Gait, r.Document.Injured, startText(r.Start))
		m.number(longest(r.Document), r.Cadence.StepsPerMinute, r.Cadence.Low, r.Cadence.High)
		for i, counts := range []*table.StepCounts{r.Steps.Left, r.Steps.Right} {
			m.number(rateOf(r.Document, sideNames[i]))
			if counts == nil {
				m.text("", "")
				continue
			}
			m.integer(counts.Found)
			m.integer(counts.Used)
		}
		m.boolean(r.Landing.LandDifferently)
	}
	for _, level := range []string{"note", "doubt", "loss"} {
		m.integer(countLevel(r.remarks(), level))
	}
	m.text(eventsText(&r.record.Item))
	names, sums := r.inputs()
	m.text(names, sums, r.version, r.method)
	return write(m.cells)
}

func startText(t *time.Time) string {
	if t == nil {
		return ""
	}
	return t.Format(time.RFC3339Nano)
}

func eventsText(it *Item) string {
	if it.EventFile == "" {
		return ""
	}
	return strconv.Itoa(it.Events)
}

// inputs lists the names and the hashes of the input files.
func (r *result) inputs() (names, sums string) {
	var n, s []string
	for _, h := range r.Hashes {
		n = append(n, h.Name)
		if h.SHA256 == "" {
			h.SHA256 = "-"
		}
		s = append(s, h.SHA256)
	}
	return strings.Join(n, " "), strings.Join(s, " ")
}

// longest is the longest duration of the inputs, s.
func longest(d *table.Document) table.Number {
	out := table.Number(math.NaN())
	for _, in := range d.Inputs {
		if !(out >= in.Duration) {
			out = in.Duration
		}
	}
	return out
}

// rateOf is the rate of the side's first input, Hz.
func rateOf(d *table.Document, side string) table.Number {
	for _, in := range d.Inputs {
		if in.Side == side {
			return in.RateHz
		}
	}
	return table.Number(math.NaN())
}

func countLevel(remarks []table.Remark, level string) int {
	n := 0
	for _, r := range remarks {
		if r.Level == level {
			n += r.Count
		}
	}
	return n
}

// asymmetryRows writes the recording's rows in the table of comparisons; there
// are none where one side only was recorded.
func asymmetryRows(r *result, write func([]string) error) error {
	if r.Steps.Left == nil || r.Steps.Right == nil {
		return nil
	}
	var m rowMaker
	steps := fewerUsed(r)
	for i, metric := range step.Catalogue() {
		d, _ := r.Difference.Get(metric.Key)
		a, _ := r.Asymmetry.Get(metric.Key)
		m.begin(&r.record.Item)
		m.text(metric.Key, table.ColumnUnit(metric).Symbol, a.DifferenceOf)
		m.integer(d.N)
		m.number(d.Center, d.Low, d.High, a.SymmetryIndexPercent, a.LogRatioPercent)
		m.boolean(a.ExcludesZero)
		m.number(a.Floor)
		m.text(orEmpty(a.FloorFrom), orEmpty(a.Verdict), a.Because)
		m.number(table.Number(r.powers[i]))
		if n := stepsForPower(d, float64(a.Floor), steps); n > 0 {
			m.integer(n)
		} else {
			m.text("")
		}
		if err := write(m.cells); err != nil {
			return err
		}
	}
	return nil
}

// remarkRows writes the recording's rows in the table of remarks.
func remarkRows(r *result, write func([]string) error) error {
	var m rowMaker
	if r.Failure != nil {
		m.begin(&r.record.Item)
		m.text("failed", "failed", r.Failure.File, lineText(r.Failure.Line), "", "1", r.Failure.Message, r.Failure.Hint)
		if err := write(m.cells); err != nil {
			return err
		}
	}
	for _, k := range r.remarks() {
		m.begin(&r.record.Item)
		line := 0
		if k.Line != nil {
			line = *k.Line
		}
		m.text(k.Level, k.Code, orEmpty(k.File), lineText(line))
		m.number(k.TimeS)
		m.integer(k.Count)
		m.text(k.Text, "")
		if err := write(m.cells); err != nil {
			return err
		}
	}
	return nil
}

func lineText(line int) string {
	if line == 0 {
		return ""
	}
	return strconv.Itoa(line)
}

// fewerUsed is the number of used steps of the side with fewer; 0 where one
// side only was recorded.
func fewerUsed(r *result) int {
	if r.Steps.Left == nil || r.Steps.Right == nil {
		return 0
	}
	return min(r.Steps.Left.Used, r.Steps.Right.Used)
}
