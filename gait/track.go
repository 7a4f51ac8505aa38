package gait

import (
	"context"
	"fmt"
	"math"

	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/orient"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// What decides a track's alignment, s.
const (
	// decideMovement is how much movement decides; the rest of the recording is
	// read with what was decided.
	decideMovement = recording.DecideSeconds
	// decideMost is how much is buffered at most while waiting for movement.
	decideMost = 600
	// decideEvery is after how many samples of a span it is asked whether there is
	// enough to decide on.
	decideEvery = recording.BlockLen
	// movingRate is the angular rate, rad/s, above which the sensor moves.
	movingRate = 1.0
)

// trackResult is what one track gives.
type trackResult struct {
	summary   recording.Summary
	alignment orient.Alignment
	usual     event.Swings
	steps     []step.Step
	excerpt   *Excerpt
	remarks   remark.List
	study     event.LandingStudy
	landings  event.Landings
	limits    step.Limits
}

// tracker reads one track: it buffers until the alignment can be decided, then
// streams.
type tracker struct {
	track    *recording.Track
	settings Settings
	part     orient.Part
	limits   step.Limits
	out      *trackResult
	ctx      context.Context
	council  *council
	seat     int

	pending  pending
	room     orient.Room
	decided  float64 // s: from what is before, it was decided
	moving   int     // samples that turn, so far
	buffered int     // samples
	detector *event.Detector
	cut      []bool
	pitch    []float64
	footlike bool // said to be a shin's, rests as a foot does
	keep     int  // every keep-th step keeps its curve
	kept     int
}

// readTrack analyses one track from its first to its last sample.
func readTrack(ctx context.Context, t *recording.Track, set Settings, c *council, seat int) (*trackResult, error) {
	r := &tracker{track: t, settings: set, limits: limitsOf(t), out: &trackResult{}, keep: 1, ctx: ctx, council: c, seat: seat}
	if t.Site == recording.Shin {
		r.asShin()
	}
	sum, err := t.Read(&r.out.remarks, func(b *recording.Block) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		return r.push(b)
	})
	if err != nil {
		return nil, err
	}
	r.out.summary = sum
	if r.detector == nil {
		if err := r.decide(); err != nil {
			return nil, err
		}
	}
	r.detector.Flush()
	step.Finish(r.out.steps, r.cut)
	r.leaveOutTurned()
	r.leaveOutFootlike()
	r.limits.WithholdContact(r.out.steps)
	r.out.limits = r.limits
	return r.out, nil
}

// push takes the next block.
func (r *tracker) push(b *recording.Block) error {
	for r.detector == nil && b.Len() > 0 {
		// Whether to decide is asked at fixed places only, so that the decision does
		// not depend on how the span was cut into blocks.
		n := min(b.Len(), decideEvery-b.First%decideEvery)
		part, rest := split(b, n)
		r.pending.add(&part, (int(decideMovement*r.track.Rate)/decideEvery+1)*decideEvery)
		r.buffered += n
		r.moving += moving(&part)
		if (rest.First%decideEvery == 0 || rest.Len() == 0 && b.Last) && r.enough() {
			if err := r.decide(); err != nil {
				return err
			}
		}
		b = &rest
	}
	if b.Len() > 0 {
		r.detector.Push(b)
	}
	return nil
}

// enough tells whether there is enough movement to decide, or nothing more to
// wait for. A foot rests about half of the time.
func (r *tracker) enough() bool {
	return float64(2*r.moving)/r.track.Rate >= decideMovement || float64(r.buffered)/r.track.Rate >= decideMost
}

// moving counts the samples that turn faster than movingRate.
func moving(b *recording.Block) int {
	n := 0
	for i := range b.Void {
		if b.Gyr[0][i]*b.Gyr[0][i]+b.Gyr[1][i]*b.Gyr[1][i]+b.Gyr[2][i]*b.Gyr[2][i] > movingRate*movingRate {
			n++
		}
	}
	return n
}

// endsUnknown is why nothing is said of a foot that may be read back to front.
const endsUnknown = "lowering withheld: heel and toe could not be told apart in this recording"

// gyroscopeUnfit is why nothing is said of a foot whose turning is in doubt.
const gyroscopeUnfit = "lowering withheld: the gyroscope does not turn as the accelerometer asks for"

// decide freezes the alignment and the usual swing and lets the buffered
// blocks through.
func (r *tracker) decide() error {
	a, err := r.align(r.pending.acc, r.pending.gyr)
	if err != nil {
		return r.noSteps()
	}
	r.out.alignment = a
	r.doubtShin()
	middle := r.excerpt()
	r.pending.turn(a)
	pitch := r.pending.gyr[1]
	r.out.usual = event.MeasureSwings(r.track.Rate, pitch)
	if r.out.usual.N == 0 {
		return r.noSteps()
	}
	r.withholdTurned(a)
	r.withholdSmoothed()
	for _, d := range r.doubts(a) {
		r.out.remarks.Add(remark.Doubt, "alignment", remark.In(r.track.Label), "%s", d)
	}
	if e := r.out.excerpt; e != nil {
		e.PitchRate = append(e.PitchRate, pitch[middle:middle+len(e.Time)]...)
	}
	seen := r.look(a)
	r.withholdOffFoot(seen)
	if r.out.landings, err = r.council.decide(r.ctx, r.seat, &r.out.study); err != nil {
		return err
	}
	for i := range seen {
		r.contact(&seen[i].window, seen[i].contact)
	}
	r.decided = r.pending.end(r.track.Rate)
	r.pending, r.room = pending{}, orient.Room{}
	return nil
}

// withholdTurned withholds the lowering of a foot where the alignment does not tell heel
// from toe, or tells that the gyroscope does not fit the accelerometer.
func (r *tracker) withholdTurned(a orient.Alignment) {
	switch {
	case r.part != orient.FootPart:
	case !a.EndsKnown():
		r.limits.WithholdLowering(endsUnknown)
	case a.Other != nil:
		r.limits.WithholdLowering(gyroscopeUnfit)
	}
}

// noSteps is the error of a track that never walks or runs.
func (r *tracker) noSteps() error {
	if cut := r.smoothedTo(); !math.IsNaN(cut) {
		return &recording.Error{File: r.track.Label, Line: 0,
			Msg:  fmt.Sprintf("no steps found: what is faster than about %.0f Hz was smoothed away, and landings with it", cut),
			Hint: "export the recording without a filter"}
	}
	return &recording.Error{File: r.track.Label, Line: 0,
		Msg:  "no steps found: the sensor never swings and rests as a walking or running foot does",
		Hint: fmt.Sprintf("look at what was read with: setdown inspect %s", r.track.Label)}
}

// next takes one window of the detector.
func (r *tracker) next(w *event.Window) {
	c := r.meet(w, r.pitch)
	r.pitch = c.Pitch
	r.contact(w, c)
}

// contact takes one window and what meet makes of it.
func (r *tracker) contact(w *event.Window, c event.Contact) {
	r.find(w, &c)
	s := step.Measure(w, &c, r.track.Side, r.limits, r.wantCurve())
	if math.IsNaN(s.InitialContact) {
		return
	}
	r.out.steps = append(r.out.steps, s)
	r.cut = append(r.cut, w.Cut && w.DownEnd < 0)
	if s.Curve != nil {
		r.kept++
	}
	if r.settings.Curves > 0 && r.kept > 2*r.settings.Curves {
		r.thin()
	}
}

// wantCurve tells whether the next step keeps its curve: every keep-th does,
// so that the kept ones are spread over the whole run.
func (r *tracker) wantCurve() bool {
	return r.settings.Curves > 0 && len(r.out.steps)%r.keep == 0
}

// thin drops every other kept curve.
func (r *tracker) thin() {
	r.keep *= 2
	r.kept = 0
	for i := range r.out.steps {
		if i%r.keep != 0 {
			r.out.steps[i].Curve = nil
		} else {
			r.kept++
		}
	}
}

// excerpt keeps a few seconds from the middle of the buffered part, but for the
// pitch rate, and returns the joined index of their first sample.
func (r *tracker) excerpt() (from int) {
	if r.settings.Excerpt <= 0 {
		return 0
	}
	skip := int(0.6*float64(len(r.pending.void))) - int(r.settings.Excerpt*r.track.Rate/2)
	seen := 0
	r.pending.replay(func(b *recording.Block) {
		if r.out.excerpt == nil && seen+b.Len() > skip {
			from = max(skip, seen)
			r.fillExcerpt(b, from, seen)
		}
		seen += b.Len()
	})
	return from
}

// fillExcerpt copies from the joined signals as long as the span lasts. first
// is the joined index of the block's first sample.
func (r *tracker) fillExcerpt(b *recording.Block, from, first int) {
	e := &Excerpt{Side: r.track.Side}
	n := int(r.settings.Excerpt * r.track.Rate)
	acc := r.pending.acc
	for i := from; i < min(len(r.pending.void), from+n); i++ {
		e.Time = append(e.Time, b.Start+float64(b.First+i-first)/r.track.Rate)
		e.Acc = append(e.Acc, math.Sqrt(acc[0][i]*acc[0][i]+acc[1][i]*acc[1][i]+acc[2][i]*acc[2][i]))
	}
	r.out.excerpt = e
}
