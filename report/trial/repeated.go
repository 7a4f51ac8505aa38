package trial

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"setdown/gait/agreement"
	"setdown/gait/estimate"
	"setdown/gait/step"
	"setdown/report/table"
)

// Measurement is one side of one session of one person.
type Measurement struct {
	// Subject, Occasion and Condition say whose, when and how. Sessions of
	// different conditions are never pooled.
	Subject, Occasion, Condition string
	// Side is left, right, or difference: what a session says of the
	// difference between the sides, see asymmetry.csv.
	Side string
	// Values holds the middle of each measure by key, in the unit of files; a
	// measure that was not made is absent.
	Values map[string]float64
}

// Measurements is where repeated sessions come from: a trial's output folder,
// or a casebook.
type Measurements interface {
	// Measurements calls yield with each measurement, in any order, and ends at
	// its first error.
	Measurements(ctx context.Context, yield func(Measurement) error) error
}

// DifferenceSide is the Side of a Measurement of the difference of the sides.
const DifferenceSide = "difference"

// Folder is the output folder of a batch as a source of measurements. Session
// and run together are the occasion.
type Folder string

// Measurements reads the sessions one by one. The error says that the folder
// is not one of a finished batch.
func (f Folder) Measurements(ctx context.Context, yield func(Measurement) error) error {
	p, err := readPlan(string(f))
	if err != nil {
		return err
	}
	for i := range p.Items {
		if err := ctx.Err(); err != nil {
			return err
		}
		r, err := load(string(f), &p.Items[i], p.Settings)
		if err != nil {
			return err
		}
		if r.Document == nil {
			continue
		}
		for _, side := range []struct {
			name   string
			values table.ByMetric[table.Estimate]
		}{{sideNames[0], r.Sides.Left}, {sideNames[1], r.Sides.Right}, {DifferenceSide, r.Difference}} {
			if err := yield(measurement(&p.Items[i], side.name, side.values)); err != nil {
				return err
			}
		}
	}
	return nil
}

func measurement(it *Item, side string, values table.ByMetric[table.Estimate]) Measurement {
	occasion := it.Session
	if it.Run != "" {
		occasion = strings.TrimPrefix(occasion+" run "+it.Run, " ")
	}
	m := Measurement{Subject: it.Subject, Occasion: occasion, Condition: it.Condition, Side: side, Values: map[string]float64{}}
	for _, e := range values {
		if v := float64(e.Value.Center); !math.IsNaN(v) {
			m.Values[e.Key] = v
		}
	}
	return m
}

// Agreement is how well one measure of one side repeats.
type Agreement struct {
	Condition string
	Metric    step.Metric
	Side      string
	// Occasions are the columns of the table, in order; Subjects those with a
	// value on each; LeftOut those without.
	Occasions, Subjects, LeftOut []string
	// ICC are the six forms of agreement.Forms, in that order.
	ICC []estimate.Estimate
	// SEM and MDC95 are in the unit of files; MDC95 with Student's quantile,
	// Normal with 1.96.
	SEM, MDC95 estimate.Estimate
	Normal     float64
	// Pairs are the limits of agreement of each two occasions.
	Pairs []Pair
	// Because says why there are no numbers; "" where there are.
	Because string
}

// Pair is the limits of agreement of two occasions, second − first.
type Pair struct {
	First, Second string
	// N is how many people have a value of both.
	N int
	agreement.Limits
	// Because says why there are no limits.
	Because string
}

// cell names one value of a study.
type cell struct{ subject, occasion string }

// group is everything measured of one measure, side and condition.
type group struct{ condition, side, key string }

// Reliability computes the agreement of repeated sessions, by condition, side
// and measure. All numbers come from package agreement. Two sessions with the
// same labels are an error.
func Reliability(ctx context.Context, from Measurements, cfg estimate.Config) ([]Agreement, error) {
	values := map[group]map[cell]float64{}
	conditions := map[string]bool{}
	seen := map[[4]string]bool{}
	err := from.Measurements(ctx, func(m Measurement) error {
		id := [4]string{m.Condition, m.Side, m.Subject, m.Occasion}
		if seen[id] {
			return fmt.Errorf("subject %q has two sessions %q: give each its own session or run", m.Subject, m.Occasion)
		}
		seen[id], conditions[m.Condition] = true, true
		for key, v := range m.Values {
			g := group{m.Condition, m.Side, key}
			if values[g] == nil {
				values[g] = map[cell]float64{}
			}
			values[g][cell{m.Subject, m.Occasion}] = v
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	var out []Agreement
	for _, condition := range sorted(conditions) {
		for _, metric := range step.Catalogue() {
			for _, side := range append(slices.Clone(sideNames), DifferenceSide) {
				out = append(out, agree(condition, metric, side, values[group{condition, side, metric.Key}], cfg))
			}
		}
	}
	return out, nil
}

func sorted(set map[string]bool) []string {
	var out []string
	for k := range set {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// agree makes one Agreement of the values.
func agree(condition string, metric step.Metric, side string, values map[cell]float64, cfg estimate.Config) Agreement {
	a := Agreement{Condition: condition, Metric: metric, Side: side}
	subjects, occasions := map[string]bool{}, map[string]bool{}
	for c := range values {
		subjects[c.subject], occasions[c.occasion] = true, true
	}
	a.Occasions = sorted(occasions)
	t := agreement.Table{Subjects: sorted(subjects)}
	for _, s := range t.Subjects {
		row := make([]float64, len(a.Occasions))
		for j, o := range a.Occasions {
			v, ok := values[cell{s, o}]
			if !ok {
				v = math.NaN()
			}
			row[j] = v
		}
		t.Rows = append(t.Rows, row)
	}
	whole, left := t.Complete()
	for _, i := range left {
		a.LeftOut = append(a.LeftOut, t.Subjects[i])
	}
	a.Subjects = whole.Subjects
	a.compute(whole, t, cfg)
	return a
}

// compute fills in the numbers: those of all occasions from the subjects that
// have them all, each pair's limits from the subjects that have both.
func (a *Agreement) compute(whole, all agreement.Table, cfg estimate.Config) {
	v, err := agreement.NewVariance(whole)
	switch {
	case err != nil:
		a.Because = err.Error()
	case v.TotalSS == 0:
		a.Because = "every session has the same value: what repeats and what is error cannot be told"
	default:
		for _, f := range agreement.Forms() {
			a.ICC = append(a.ICC, v.ICC(f, cfg))
		}
		a.SEM, a.MDC95 = v.SEM(cfg), v.MDC(agreement.Student, cfg)
		a.Normal = v.MDC(agreement.Normal, cfg).Center
	}
	for j := range a.Occasions {
		for i := range j {
			a.Pairs = append(a.Pairs, pairOf(a.Occasions[i], a.Occasions[j], all.Rows, i, j, cfg))
		}
	}
}

// pairOf compares two columns.
func pairOf(first, second string, rows [][]float64, i, j int, cfg estimate.Config) Pair {
	p := Pair{First: first, Second: second}
	var x, y []float64
	for _, row := range rows {
		if !math.IsNaN(row[i]) && !math.IsNaN(row[j]) {
			x, y = append(x, row[i]), append(y, row[j])
		}
	}
	p.N = len(x)
	var err error
	if p.Limits, err = agreement.NewLimits(y, x, cfg); err != nil {
		p.Because = err.Error()
	} else if p.SD == 0 {
		p.Because = "every difference is the same: the limits cannot be told"
	}
	return p
}
