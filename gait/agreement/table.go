// Package agreement says how well repeated measurements agree: analysis of
// variance, intraclass correlation with intervals, standard error of
// measurement, minimal detectable change and limits of agreement.
//
// Measurements come as a Table: a row for each subject, a column for each
// occasion (session, rater, device). Everything is in the unit of the values.
package agreement

import (
	"errors"
	"fmt"
	"math"

	"setdown/gait/estimate"
)

// The fewest subjects and occasions that give an answer at all. Two subjects
// have one degree of freedom; an interval then exists, but says nothing: Enough
// tells how many are common practice.
const (
	minSubjects  = 2
	minOccasions = 2
)

// Enough is the number of subjects below which a reliability study is
// commonly called small (30: Koo & Li, 2016, J. Chiropr. Med. 15, 155–163).
const Enough = 30

// ErrTooFew says that there are too few subjects or occasions.
var ErrTooFew = errors.New("too few measurements")

// Table holds repeated measurements: Rows[i][j] is subject i on occasion j.
type Table struct {
	// Subjects names the rows, where they have names.
	Subjects []string
	Rows     [][]float64
}

// Complete returns the subjects measured on every occasion, and the indices of
// those left out because a cell is NaN, infinite or missing. A row longer than
// the first is left out too. Nothing is filled in.
func (t Table) Complete() (complete Table, leftOut []int) {
	for i, row := range t.Rows {
		if len(row) != len(t.Rows[0]) || !finite(row) {
			leftOut = append(leftOut, i)
			continue
		}
		complete.Rows = append(complete.Rows, row)
		if i < len(t.Subjects) {
			complete.Subjects = append(complete.Subjects, t.Subjects[i])
		}
	}
	return complete, leftOut
}

func finite(row []float64) bool {
	for _, v := range row {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// check returns the number of subjects and occasions of a complete table.
func (t Table) check() (subjects, occasions int, err error) {
	subjects = len(t.Rows)
	if subjects > 0 {
		occasions = len(t.Rows[0])
	}
	if subjects < minSubjects || occasions < minOccasions {
		return 0, 0, fmt.Errorf("%w: %d subjects on %d occasions, at least %d on %d are needed",
			ErrTooFew, subjects, occasions, minSubjects, minOccasions)
	}
	for i, row := range t.Rows {
		if len(row) != occasions || !finite(row) {
			return 0, 0, fmt.Errorf("subject %d was not measured on every occasion; use Complete first", i+1)
		}
	}
	return subjects, occasions, nil
}

// Variance is the two-way analysis of variance of a complete table without
// replication: sums of squares, degrees of freedom and mean squares.
type Variance struct {
	Subjects, Occasions int
	// SS between subjects, between occasions, of the residual error, and total.
	BetweenSS, OccasionSS, ErrorSS, TotalSS float64
	// MS: BMS, JMS and EMS of Shrout & Fleiss, and the within-subject WMS.
	BetweenMS, OccasionMS, ErrorMS, WithinMS float64
	// SD is the standard deviation of all values together (n·k − 1), as Weir
	// (2005) uses it.
	SD float64
}

// NewVariance analyses a complete table. The error says that there are too few
// subjects or occasions (ErrTooFew) or that a cell is missing.
func NewVariance(t Table) (Variance, error) {
	n, k, err := t.check()
	if err != nil {
		return Variance{}, err
	}
	var all []float64
	columns := make([][]float64, k)
	for _, row := range t.Rows {
		all = append(all, row...)
		for j, x := range row {
			columns[j] = append(columns[j], x)
		}
	}
	v := Variance{Subjects: n, Occasions: k, SD: estimate.SD(all)}
	grand := estimate.Mean(all)
	v.BetweenSS = float64(k) * squaresOfMeans(t.Rows, grand)
	v.OccasionSS = float64(n) * squaresOfMeans(columns, grand)
	v.ErrorSS = residualSquares(t.Rows, columns, grand)
	v.TotalSS = v.BetweenSS + v.OccasionSS + v.ErrorSS
	v.BetweenMS = v.BetweenSS / float64(n-1)
	v.OccasionMS = v.OccasionSS / float64(k-1)
	v.ErrorMS = v.ErrorSS / float64((n-1)*(k-1))
	v.WithinMS = (v.OccasionSS + v.ErrorSS) / float64(n*(k-1))
	return v, nil
}

func squaresOfMeans(groups [][]float64, grand float64) float64 {
	sum := 0.0
	for _, g := range groups {
		d := estimate.Mean(g) - grand
		sum += d * d
	}
	return sum
}

// residualSquares sums (x − row mean − column mean + grand mean)², which keeps
// its digits where a difference of sums would lose them.
func residualSquares(rows, columns [][]float64, grand float64) float64 {
	sum := 0.0
	for _, row := range rows {
		mean := estimate.Mean(row)
		for j, x := range row {
			d := x - mean - estimate.Mean(columns[j]) + grand
			sum += d * d
		}
	}
	return sum
}
