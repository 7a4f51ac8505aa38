package trial

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"setdown/gait/agreement"
	"setdown/gait/estimate"
	"setdown/report/table"
)

// formKeys are the column names of the forms, in the order of agreement.Forms.
func formKeys() []string {
	var out []string
	for _, f := range agreement.Forms() {
		k := "1"
		if f.Average {
			k = "k"
		}
		out = append(out, fmt.Sprintf("icc_%d_%s", f.Model, k))
	}
	return out
}

// three names the columns of a number with its interval.
func three(name string) []string { return []string{name, name + "_low", name + "_high"} }

// writeAgreement writes agreement.csv, a row for each condition, measure and
// side.
func writeAgreement(w io.Writer, all []Agreement) error {
	head := []string{"condition", "measure", "unit", "side", "subjects", "occasions", "subjects_left_out"}
	for _, k := range formKeys() {
		head = append(head, three(k)...)
	}
	head = append(append(append(head, three("sem")...), three("mdc95")...), "mdc95_normal", "because")
	out := csv.NewWriter(w)
	if err := out.Write(head); err != nil {
		return err
	}
	for i := range all {
		a := &all[i]
		row := append(a.labels(), strconv.Itoa(len(a.Subjects)), strconv.Itoa(len(a.Occasions)), strconv.Itoa(len(a.LeftOut)))
		if a.Because != "" {
			row = append(row, make([]string, len(head)-len(row)-1)...)
			row = append(row, a.Because)
		} else {
			for _, e := range a.ICC {
				row = append(row, cells(e, iccDigits)...)
			}
			digits := a.digits()
			row = append(append(append(row, cells(a.SEM, digits)...), cells(a.MDC95, digits)...), fixed(a.Normal, digits), "")
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// iccDigits is the number of decimals of a correlation in files.
const iccDigits = 4

// labels are the cells that stand first in a row.
func (a *Agreement) labels() []string {
	return []string{table.Guard(a.Condition), a.Metric.Key, table.ColumnUnit(a.Metric).Symbol, a.Side}
}

// digits is the number of decimals in files: two more than the measure shows.
func (a *Agreement) digits() int {
	if a.Metric.Share {
		return a.Metric.Digits + 4
	}
	return a.Metric.Digits + 2
}

func cells(e estimate.Estimate, digits int) []string {
	return []string{fixed(e.Center, digits), fixed(e.Low, digits), fixed(e.High, digits)}
}

// fixed prints v with decimals; "" where it does not exist.
func fixed(v float64, digits int) string {
	if numberCell(v) == "" {
		return ""
	}
	s := strconv.FormatFloat(v, 'f', digits, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

// writeLimits writes limits.csv, a row for each two occasions.
func writeLimits(w io.Writer, all []Agreement) error {
	head := []string{"condition", "measure", "unit", "side", "first", "second", "pairs"}
	for _, name := range []string{"mean_difference", "lower_limit", "upper_limit"} {
		head = append(head, three(name)...)
	}
	head = append(head, "sd_of_differences", "because")
	out := csv.NewWriter(w)
	if err := out.Write(head); err != nil {
		return err
	}
	for i := range all {
		for _, p := range all[i].Pairs {
			row := append(all[i].labels(), table.Guard(p.First), table.Guard(p.Second), strconv.Itoa(p.N))
			if p.Because != "" {
				row = append(row, make([]string, len(head)-len(row)-1)...)
				row = append(row, p.Because)
			} else {
				d := all[i].digits()
				row = append(append(append(row, cells(p.Mean, d)...), cells(p.Lower, d)...), cells(p.Upper, d)...)
				row = append(row, fixed(p.SD, d), "")
			}
			if err := out.Write(row); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}
