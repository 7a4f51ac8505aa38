package trial

import (
	"fmt"
	"math"
	"strings"

	"setdown/report/table"
)

// Codes of the remarks that only the trial can make.
const (
	sameFileCode    = "same-file"
	sideMissingCode = "side-missing"
)

// findTwice reads which files stand in several recordings. It is known before
// any row is written, so that the tables say it and not the quality page alone.
// A recording without a whole record is passed over here: loading it tells why.
func (a *assembly) findTwice() {
	var t twice
	for i := range a.plan.Items {
		if rec, ok := readRecord(a.out, a.plan.Items[i].ID); ok {
			t.add(rec)
		}
	}
	a.quality.twice = t.lines()
	a.same = t.remarks()
}

// remarks are the doubts of each recording that has a file of another one.
func (t *twice) remarks() map[string][]table.Remark {
	out := map[string][]table.Remark{}
	for _, ps := range t.found() {
		for i, p := range ps {
			var others []string
			for j, o := range ps {
				if j != i {
					others = append(others, o.String())
				}
			}
			out[p.id] = append(out[p.id], trialRemark("doubt", sameFileCode, p.file,
				"the same file is in "+strings.Join(others, ", ")+" too: one run counted more than once makes people or sessions look alike"))
		}
	}
	return out
}

// missingSides says of each side without a step why nothing is compared.
func missingSides(r *result) []table.Remark {
	if r.Document == nil {
		return nil
	}
	var out []table.Remark
	for i, counts := range []*table.StepCounts{r.Steps.Left, r.Steps.Right} {
		if counts == nil {
			out = append(out, trialRemark("loss", sideMissingCode, "", fmt.Sprintf("%s: the feet are not compared", whyMissing(r.Document, sideNames[i]))))
		}
	}
	return out
}

func whyMissing(d *table.Document, side string) string {
	unknown := false
	for _, in := range d.Inputs {
		if in.Side == side {
			return "no step of the " + side + " foot was found"
		}
		unknown = unknown || in.Side == "unknown"
	}
	if unknown {
		return "no file is known to be of the " + side + " foot"
	}
	return "no file of the " + side + " foot belongs to this recording; if there is one, its name or labels differ"
}

func trialRemark(level, code, file, text string) table.Remark {
	k := table.Remark{Code: code, Level: level, TimeS: table.Number(math.NaN()), Count: 1, Text: text}
	if file != "" {
		k.File = &file
	}
	return k
}

// remarks are those of the recording's session and those that the trial adds.
func (r *result) remarks() []table.Remark {
	if r.Document == nil {
		return r.beside
	}
	return append(r.Remarks[:len(r.Remarks):len(r.Remarks)], r.beside...)
}
