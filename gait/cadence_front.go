package gait

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"time"

	"github.com/sourcegraph/conc/pool"

	"setdown/gait/cadence"
	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// disagree is the share by which the contacts of a foot or shin and the rhythm
// of the same sensor may differ in cadence.
const disagree = 0.03

// CadenceResult is the cadence of everything that was opened.
type CadenceResult struct {
	// Start is the absolute time of 0 s, zero where inputs have none.
	Start time.Time
	// Parts has one entry for each sensor and watch that shows steps, sensors
	// first, in the order given.
	Parts []cadence.Result
	// Remarks are sorted by place.
	Remarks []remark.Remark
}

// Cadence finds the step rate in each track and each watch export of a set, for
// itself, from the rhythm of the motion: at any place of the body, with any
// number of axes of an accelerometer. On feet and shins that have a gyroscope
// too it is checked against the contacts. seed is that of the resampling.
//
// A sensor without steps is a remark where others have some, and an error where
// none has.
func Cadence(ctx context.Context, set *recording.Set, seed uint64) (*CadenceResult, error) {
	cfg := estimate.Config{Seed: seed}
	parts := make([]*cadence.Result, len(set.Tracks))
	lists := make([]remark.List, len(set.Tracks))
	fails := make([]error, len(set.Tracks))
	group := pool.New().WithMaxGoroutines(runtime.GOMAXPROCS(0)).WithContext(ctx).WithCancelOnError().WithFirstError()
	for i, t := range set.Tracks {
		group.Go(func(ctx context.Context) error {
			parts[i], fails[i] = trackCadence(ctx, t, cfg, &lists[i])
			return ctx.Err()
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	return joinCadence(set, parts, lists, fails, cfg)
}

// joinCadence puts the tracks and the watches together.
func joinCadence(set *recording.Set, parts []*cadence.Result, lists []remark.List, fails []error, cfg estimate.Config) (*CadenceResult, error) {
	out := &CadenceResult{Start: set.Start}
	var remarks remark.List
	remarks.Join(&set.Remarks)
	var first error
	for i, p := range parts {
		remarks.Join(&lists[i])
		if fails[i] != nil {
			if first == nil {
				first = fails[i]
			}
			remarks.Add(remark.Loss, "no-steps", remark.In(set.Tracks[i].Label), "%s", withoutFile(fails[i]))
			continue
		}
		out.Parts = append(out.Parts, *p)
	}
	for _, c := range set.Cadences {
		if r := cadence.FromWatch(c, cfg); r.Cadence.N > 0 {
			out.Parts = append(out.Parts, r)
		} else if first == nil {
			first = noCadence(c.Label, "holds no step rate above 0")
		}
	}
	if len(out.Parts) == 0 {
		if first == nil {
			first = &recording.Error{Msg: "no recording given", Hint: "type: setdown cadence FILE"}
		}
		return nil, first
	}
	out.Remarks = remarks.Sorted()
	return out, nil
}

// withoutFile is an error's text without the file that a remark names anyway.
func withoutFile(err error) string {
	if e, ok := err.(*recording.Error); ok {
		return e.Msg
	}
	return err.Error()
}

func noCadence(label, why string) error {
	return &recording.Error{File: label, Msg: why, Hint: "look at what was read with: setdown inspect " + label}
}

// trackCadence finds the cadence of one track.
func trackCadence(ctx context.Context, t *recording.Track, cfg estimate.Config, rs *remark.List) (*cadence.Result, error) {
	if t.AccAxes == 0 {
		return nil, noCadence(t.Label, "the step rate needs an accelerometer; the recording has none")
	}
	rhythm, err := rhythmOf(ctx, t, rs)
	if err != nil {
		return nil, err
	}
	steps, sum := contactsOf(ctx, t)
	times, gaits := stepTimes(steps, func(step.Step) bool { return true })
	rhythm.TakeGaits(times, gaits)
	r := cadence.Summarise(rhythm, cfg)
	r.From = "rhythm of the motion"
	if r.Cadence.N == 0 && len(times) > 0 {
		r = cadence.Summarise(cadence.FromContacts(times, gaits, sum.Begin, sum.End), cfg)
		r.From = fmt.Sprintf("contacts of the %s, two steps each", t.Site)
	}
	times, gaits = stepTimes(steps, func(s step.Step) bool { return s.Used })
	c := cadence.Summarise(cadence.FromContacts(times, gaits, sum.Begin, sum.End), cfg)
	if math.Abs(c.Cadence.Center/r.Cadence.Center-1) > disagree {
		rs.Add(remark.Doubt, "cadence-disagrees", remark.In(t.Label),
			"the %s gives %.1f steps a minute, the contacts of the %s that are fit for use %.1f", r.From, 60*r.Cadence.Center, t.Site, 60*c.Cadence.Center)
	}
	r.Label, r.Side, r.Site = t.Label, t.Side, t.Site
	if r.Cadence.N == 0 {
		return nil, noCadence(t.Label, "no steps found: nothing repeats itself as walking or running does")
	}
	return &r, nil
}

// rhythmOf reads a track and finds the rhythm in its motion.
func rhythmOf(ctx context.Context, t *recording.Track, rs *remark.List) (cadence.Rhythm, error) {
	reducer := cadence.NewReducer(t.Rate)
	_, err := t.Read(rs, func(b *recording.Block) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		reducer.Push(b)
		return nil
	})
	if err != nil {
		return cadence.Rhythm{}, err
	}
	return cadence.Find(reducer.Spans(), t.Site), nil
}

// contactsOf finds the contacts of a foot or shin; none on other places,
// without a gyroscope, or where the sensor shows none.
func contactsOf(ctx context.Context, t *recording.Track) ([]step.Step, recording.Summary) {
	if t.Site != recording.Foot && t.Site != recording.Shin || !t.HasAcc || !t.HasGyr {
		return nil, recording.Summary{}
	}
	res, err := readTrack(ctx, t, Settings{}, newCouncil(1), 0)
	if err != nil {
		return nil, recording.Summary{}
	}
	return res.steps, res.summary
}

// stepTimes are the initial contacts and the gaits of the steps that are wanted.
func stepTimes(steps []step.Step, wanted func(step.Step) bool) (times []float64, gaits []event.Gait) {
	for _, s := range steps {
		if wanted(s) {
			times, gaits = append(times, s.InitialContact), append(gaits, s.Gait)
		}
	}
	return times, gaits
}
