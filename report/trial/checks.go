package trial

import (
	"strings"

	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/report/table"
)

// mark is what one check says of one recording.
type mark uint8

// The marks, from the lightest.
const (
	clean mark = iota
	doubtful
	lossy
)

// check is one column of the quality page.
type check struct {
	name, meaning string
	// codes are beginnings of the codes of remarks that belong to it.
	codes []string
}

// The places of the checks that are not about remarks.
const (
	checkFeet = iota
	checkColumns
	checkClock
	checkGaps
	checkRange
	checkAxes
	checkSteps
	checkLeftOut
	checkLowering
	checkLanding
	checkTwice
	checkOther
	checkOutlying
	checkCount
)

// leftOutShare is the share of a side's steps left out that is worth a look.
// The project's own choice; nothing is decided by it.
const leftOutShare = 0.2

// checks returns the columns of the quality page in order.
func checks() [checkCount]check {
	return [checkCount]check{
		checkFeet:     {"both feet", "one side was not recorded or has no step", []string{sideMissingCode}},
		checkColumns:  {"columns", "units, axes or sensors were inferred or are missing", []string{"unit", "axis", "column", "heading", "side", "site", "rate", "gyroscope", "accelerometer", "watch", "cadence"}},
		checkClock:    {"clock", "time stamps were repaired or left out, or two clocks do not agree", []string{"time", "clock", "date", "no-overlap"}},
		checkGaps:     {"gaps", "samples or lines are missing", []string{"gap", "hole", "span", "cell", "line", "rows"}},
		checkRange:    {"range", "the sensor reached the end of its range", []string{"clip"}},
		checkAxes:     {"foot axes", "the sensor's direction on the foot could not be decided well", []string{"alignment", "shin"}},
		checkSteps:    {"steps", "a side has fewer used steps than a verdict needs", nil},
		checkLeftOut:  {"left out", "more than a fifth of a side's steps were left out", nil},
		checkLowering: {"lowering", "the lowering could not be measured on a side", nil},
		checkLanding:  {"landing", "the sides land differently, so that their lowering is not compared", nil},
		checkTwice:    {"same file", "a file is in another recording as well", []string{sameFileCode}},
		checkOther:    {"other", "other doubts or losses, see the recording's page", nil},
		checkOutlying: {"outlying", "a measure lies far from those of the other recordings", nil},
	}
}

// seen is what the quality page keeps of one recording: a few hundred bytes.
type seen struct {
	id    string
	marks [checkCount]mark
	count [checkCount]int
	// values holds, for each metric of the catalogue, the middle of the left and
	// the right side in file units; NaN where there is none.
	values  [][2]float32
	failure *failure
}

// weight puts the recordings that most need a look first.
func (s *seen) weight() int {
	w := 0
	for _, m := range s.marks {
		w += []int{0, 1, 3}[m]
	}
	return w
}

// put raises a check's mark and counts.
func (s *seen) put(at int, m mark, n int) {
	s.marks[at] = max(s.marks[at], m)
	s.count[at] += n
}

// look makes the row of a recording.
func look(r *result) seen {
	s := seen{id: r.record.ID, failure: r.Failure}
	if r.Document == nil {
		return s
	}
	all := checks()
	for _, k := range r.remarks() {
		m := map[string]mark{"doubt": doubtful, "loss": lossy}[k.Level]
		if m != clean {
			s.put(checkOf(all, k.Code), m, k.Count)
		}
	}
	s.sides(r)
	if d := r.Landing.LandDifferently; d != nil && *d {
		s.put(checkLanding, doubtful, 1)
	}
	for _, metric := range step.Catalogue() {
		s.values = append(s.values, [2]float32{center(r.Sides.Left, metric.Key), center(r.Sides.Right, metric.Key)})
	}
	return s
}

// checkOf finds the check that a remark belongs to.
func checkOf(all [checkCount]check, code string) int {
	for i, c := range all {
		for _, begin := range c.codes {
			if strings.HasPrefix(code, begin) {
				return i
			}
		}
	}
	return checkOther
}

// sides looks at the numbers of steps.
func (s *seen) sides(r *result) {
	for _, c := range recorded(r) {
		if c.Used < session.MinSteps {
			s.put(checkSteps, lossy, 1)
		}
		if float64(c.Found-c.Used) > leftOutShare*float64(c.Found) {
			s.put(checkLeftOut, doubtful, c.Found-c.Used)
		}
	}
	for _, measures := range []table.ByMetric[table.Estimate]{r.Sides.Left, r.Sides.Right} {
		if e, ok := measures.Get(step.Primary); ok && e.N == 0 {
			s.put(checkLowering, lossy, 1)
		}
	}
}

func center(measures table.ByMetric[table.Estimate], key string) float32 {
	e, ok := measures.Get(key)
	if !ok {
		return nan32
	}
	return float32(e.Center)
}
