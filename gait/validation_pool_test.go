package gait

import (
	"fmt"
	"math"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// quantity is one thing compared with the truth, in the unit people read.
type quantity struct {
	name, unit string
	// err is detected − true; NaN where either does not exist.
	err func(detected, truth *step.Step) float64
}

// hardDrop is the true rate at foot-flat, rad/s, from which foot-flat is a
// clear event: the forefoot hits the ground.
const hardDrop = 150 * math.Pi / 180

const (
	qIC = iota
	qHard
	qSoft
	qTO
	qTTFF
	qContact
	qPeak
	qFlatRate
	qAngle
	qDec
)

// quantities are in the order of the constants above.
func quantities() []quantity {
	flat := func(hard bool) func(d, r *step.Step) float64 {
		return func(d, r *step.Step) float64 {
			if r.HeelFirst != step.True || (r.FootFlatRate >= hardDrop) != hard {
				return math.NaN()
			}
			return 1e3 * (d.FootFlat - r.FootFlat)
		}
	}
	const deg = 180 / math.Pi
	return []quantity{
		{"initial contact", "ms", func(d, r *step.Step) float64 { return 1e3 * (d.InitialContact - r.InitialContact) }},
		{"foot-flat, true rate there ≥ 150 deg/s", "ms", flat(true)},
		{"foot-flat, true rate there < 150 deg/s", "ms", flat(false)},
		{"toe-off", "ms", func(d, r *step.Step) float64 { return 1e3 * (d.ToeOff - r.ToeOff) }},
		{"time to foot-flat", "ms", func(d, r *step.Step) float64 { return 1e3 * (d.TimeToFootFlat - r.TimeToFootFlat) }},
		{"contact time", "ms", func(d, r *step.Step) float64 { return 1e3 * (d.ContactTime - r.ContactTime) }},
		{"peak lowering rate", "%", func(d, r *step.Step) float64 { return 100 * (d.PeakLoweringRate/r.PeakLoweringRate - 1) }},
		{"rate at foot-flat", "deg/s", func(d, r *step.Step) float64 { return deg * (d.FootFlatRate - r.FootFlatRate) }},
		{"strike angle", "deg", func(d, r *step.Step) float64 { return deg * (d.StrikeAngle - r.StrikeAngle) }},
		{"deceleration fraction", "", func(d, r *step.Step) float64 { return d.DecelerationFraction - r.DecelerationFraction }},
	}
}

// pairOfSteps is one step found, beside its truth.
type pairOfSteps struct {
	detected step.Step
	truth    simulate.Step
}

// judged is one recording beside its truth.
type judged struct {
	seed                 uint64
	sim                  simulate.Settings
	err                  error
	found, missed, extra int
	// inside counts what of missed does not stand next to standing.
	inside int
	pairs  []pairOfSteps
}

// judgeRecording compares detected with true steps, side by side.
func judgeRecording(seed uint64, sim simulate.Settings, res *Result, truth []simulate.Step, err error) judged {
	j := judged{seed: seed, sim: sim, err: err}
	if err != nil {
		return j
	}
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		var ref []simulate.Step
		var times []float64
		for _, s := range truth {
			if s.Side == side {
				ref, times = append(ref, s), append(times, s.InitialContact)
			}
		}
		steps, contacts := sideSteps(res, side.String())
		m := event.Match(times, contacts, ScoreTolerance)
		j.found, j.missed, j.extra = j.found+len(m.Pairs), j.missed+len(m.Missed), j.extra+len(m.Extra)
		for _, i := range m.Missed {
			if !ref[i].Edge {
				j.inside++
			}
		}
		for _, p := range m.Pairs {
			j.pairs = append(j.pairs, pairOfSteps{steps[p[1]], ref[p[0]]})
		}
	}
	return j
}

// errors returns the errors of one quantity over used steps.
func (j *judged) errors(q quantity) []float64 {
	var out []float64
	for i := range j.pairs {
		p := &j.pairs[i]
		if e := q.err(&p.detected, &p.truth.Step); p.detected.Used && !math.IsNaN(e) {
			out = append(out, e)
		}
	}
	return out
}

// pooled is one quantity over many recordings.
type pooled struct {
	n, recordings int
	// bias and sd are over all steps, within is the median of the recordings' own
	// SD, worst the largest bias of a recording by size, by worstSeed.
	bias, sd, within, worst float64
	worstSeed               uint64
}

// leastOfRecording is how many steps a recording needs to have a bias of its own.
const leastOfRecording = 20

func pooledOf(all []judged, q quantity) pooled {
	var p pooled
	var every, own []float64
	for i := range all {
		e := all[i].errors(q)
		every = append(every, e...)
		if len(e) < leastOfRecording {
			continue
		}
		p.recordings++
		own = append(own, estimate.SD(e))
		if b := estimate.Mean(e); math.Abs(b) > math.Abs(p.worst) {
			p.worst, p.worstSeed = b, all[i].seed
		}
	}
	p.n, p.bias, p.sd, p.within = len(every), estimate.Mean(every), estimate.SD(every), estimate.Median(own)
	return p
}

func (p pooled) row(q quantity) string {
	if p.n == 0 {
		return fmt.Sprintf("| %s | 0 | | | | |\n", q.title())
	}
	d := 1
	if q.unit == "" {
		d = 3
	}
	return fmt.Sprintf("| %s | %d | %+.*f | %.*f | %.*f | %+.*f (%d) |\n", q.title(), p.n, d, p.bias, d, p.sd, d, p.within, d, p.worst, p.worstSeed)
}

func (q quantity) title() string {
	if q.unit == "" {
		return q.name
	}
	return q.name + ", " + q.unit
}

const poolHead = "| | steps | bias | SD, all steps | SD within a recording, median | largest bias of a recording (seed) |\n|---|---:|---:|---:|---:|---:|\n"

// where keeps the recordings that fit.
func where(all []judged, fits func(*judged) bool) []judged {
	var out []judged
	for i := range all {
		if all[i].err == nil && fits(&all[i]) {
			out = append(out, all[i])
		}
	}
	return out
}

// counts adds up the contacts.
func counts(all []judged) (found, missed, inside, extra int, f1 float64) {
	for i := range all {
		j := &all[i]
		found, missed, inside, extra = found+j.found, missed+j.missed, inside+j.inside, extra+j.extra
	}
	return found, missed, inside, extra, 2 * float64(found) / float64(2*found+missed+extra)
}
