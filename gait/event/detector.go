package event

import (
	"math"
	"slices"

	"setdown/signal/orient"
	"setdown/signal/recording"
)

// The extent of windows, s.
const (
	// margin is kept before the first and after the last swing of a window.
	margin = 0.10
	// standing is how long after landing a push-off may come and still belong to
	// the same step; later, the person stood.
	standing = 2.5
	// confirm is how long after that a swing may still be confirmed.
	confirm = 2.5
	// after is how much is kept behind a landing that no swing follows.
	after = 1.0
	// waitMost is how long a swing may wait for its end, held in memory: only
	// shaking that neither turns nor rests would last that long.
	waitMost = 60.0
	// pieceLen is how many samples are taken at once, trimLeast how many are
	// dropped at once, so that moving the rest to the front costs little. Both are
	// small enough for what is worked on to stay near the processor.
	pieceLen  = 512
	trimLeast = 1024
)

// Detector cuts the stream of one aligned sensor into windows, one for each
// contact with the ground. Memory is bounded by the longest stride.
type Detector struct {
	align orient.Alignment
	rate  float64
	usual usualSwing
	emit  func(*Window)

	span    int
	start   float64
	base    int // index in the span of the first kept sample
	acc     [3][]float64
	gyr     [3][]float64
	void    []recording.Void
	finder  *swingFinder
	rests   rests
	last    swing
	hasLast bool
	open    bool
	present Window // the one that is handed out, used again
}

// NewDetector returns a detector for samples at rate Hz of a sensor mounted as
// align says. emit is called once for each contact, in time order. usual is
// the person's usual swing from MeasureSwings.
func NewDetector(align orient.Alignment, rate float64, usual Swings, emit func(*Window)) *Detector {
	return &Detector{align: align, rate: rate, usual: usualSwing{usual.Angle, usual.Fastest}, emit: emit, span: -1}
}

// Emit makes the detector hand out the contacts that are still to come to emit.
func (d *Detector) Emit(emit func(*Window)) { d.emit = emit }

// Push takes the next block of the track. Blocks must come in order.
func (d *Detector) Push(b *recording.Block) { d.push(b, false) }

// PushTurned is Push of a block that is in segment axes already, see
// orient.Alignment.Turn.
func (d *Detector) PushTurned(b *recording.Block) { d.push(b, true) }

func (d *Detector) push(b *recording.Block, turned bool) {
	if b.Span != d.span {
		d.Flush()
		d.begin(b)
	}
	for from := 0; from < b.Len(); from += pieceLen {
		d.piece(b, from, min(from+pieceLen, b.Len()), turned)
	}
}

// piece takes the samples of a block from lo up to hi.
func (d *Detector) piece(b *recording.Block, lo, hi int, turned bool) {
	from := len(d.void)
	d.take(b, lo, hi, turned)
	var acc, gyr [3][]float64
	for k := range 3 {
		acc[k], gyr[k] = d.acc[k][from:], d.gyr[k][from:]
	}
	for i := range gyr[0] {
		if d.finder.push(gyr[1][i]) {
			d.landed(d.finder.found)
		}
		turn, force := size([3]float64{gyr[0][i], gyr[1][i], gyr[2][i]}), size([3]float64{acc[0][i], acc[1][i], acc[2][i]})
		if from, to, ended := d.rests.push(d.finder.i-1, turn, force); ended {
			d.rested(from, to)
		}
		if d.hasLast && float64(d.finder.i-d.last.upEnd) > (standing+confirm)*d.rate {
			d.window(nil)
			d.hasLast = false
		}
	}
	d.trim()
}

// take appends the samples of a block from lo up to hi, in segment axes.
func (d *Detector) take(b *recording.Block, lo, hi int, turned bool) {
	n, old := hi-lo, len(d.void)
	var acc, gyr, toAcc, toGyr [3][]float64
	for k := range 3 {
		d.acc[k] = slices.Grow(d.acc[k], n)[:old+n]
		d.gyr[k] = slices.Grow(d.gyr[k], n)[:old+n]
		toAcc[k], toGyr[k] = d.acc[k][old:], d.gyr[k][old:]
		acc[k], gyr[k] = b.Acc[k][lo:hi], b.Gyr[k][lo:hi]
	}
	d.void = append(d.void, b.Void[lo:hi]...)
	if !turned {
		d.align.Turn(toAcc, toGyr, acc, gyr)
		return
	}
	for k := range 3 {
		copy(toAcc[k], acc[k])
		copy(toGyr[k], gyr[k])
	}
}

func size(v [3]float64) float64 { return math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2]) }

// begin starts a new span with the block.
func (d *Detector) begin(b *recording.Block) {
	d.span, d.start, d.base, d.open = b.Span, b.Start, 0, true
	for k := range 3 {
		d.acc[k], d.gyr[k] = d.acc[k][:0], d.gyr[k][:0]
	}
	d.void = d.void[:0]
	d.finder = newSwingFinder(d.rate, d.usual)
	d.rests = rests{rate: d.rate}
	d.hasLast = false
}

// Flush ends the span: the last landing is emitted with what there is.
func (d *Detector) Flush() {
	if !d.open {
		return
	}
	if s, ok := d.finder.flush(); ok {
		d.landed(s)
	}
	if d.hasLast {
		d.window(nil)
	}
	d.open, d.hasLast = false, false
}

// Peek hands to emit what Flush would emit now, and changes nothing: more blocks
// of the span may follow.
func (d *Detector) Peek(emit func(*Window)) {
	if !d.open {
		return
	}
	kept, finder := *d, *d.finder
	d.emit = emit
	d.Flush()
	*d, *kept.finder = kept, finder
}

// landed takes a confirmed swing: the contact before it is complete now.
func (d *Detector) landed(s swing) {
	if d.hasLast {
		if float64(s.downEnd-d.last.upEnd)/d.rate > standing {
			d.window(nil)
		} else {
			d.window(&s)
		}
	}
	d.last, d.hasLast = s, true
}

// window emits the contact after the last swing; next is the swing that
// follows it, or nil.
func (d *Detector) window(next *swing) {
	m := int(margin*d.rate + 0.5)
	from := max(d.base, d.last.peak-m)
	end := d.finder.i // what comes later must not show: it depends on the block's end
	to, cut := end, false
	if next != nil {
		to = min(end, next.peak+m)
	} else {
		to = d.last.upEnd + int(after*d.rate)
		cut = to > end
		to = min(end, to)
	}
	w := &d.present
	*w = Window{Rate: d.rate, Start: d.start + float64(from)/d.rate, First: from, Cut: cut,
		Irregular: d.last.irregular, Swing: d.last.peak - from, UpEnd: d.last.upEnd - from, DownEnd: -1, NextSwing: -1}
	if next != nil {
		w.DownEnd, w.NextSwing = next.downEnd-from, next.peak-from
	}
	for k := range 3 {
		w.Acc[k] = d.acc[k][from-d.base : to-d.base]
		w.Gyr[k] = d.gyr[k][from-d.base : to-d.base]
	}
	w.Void = d.void[from-d.base : to-d.base]
	d.emit(w)
}

// travel is how far the movement carried the foot, m.
func (d *Detector) travel(from, to int) float64 {
	var acc, gyr [3][]float64
	for k := range 3 {
		acc[k], gyr[k] = d.acc[k][from-d.base:to-d.base], d.gyr[k][from-d.base:to-d.base]
	}
	x := orient.Travel(d.rate, acc, gyr, [3]float64{0, 0, 1}, [3]float64{})
	return math.Hypot(x[0], x[1])
}

// trim drops samples that no later window can need, in large pieces.
func (d *Detector) trim() {
	f := d.finder
	keep := f.i
	if f.possible() {
		keep = max(f.peakAt, f.i-int(waitMost*d.rate))
	}
	// A movement is judged a little after it has come to rest.
	if d.rests.moving && float64(f.i-d.rests.from) <= (moveMost+pivotTime)*d.rate+1 {
		keep = min(keep, d.rests.from)
	}
	if d.hasLast {
		keep = min(keep, d.last.peak)
	}
	drop := keep - int(2*margin*d.rate) - d.base
	if drop < trimLeast {
		return
	}
	for k := range 3 {
		d.acc[k] = d.acc[k][:copy(d.acc[k], d.acc[k][drop:])]
		d.gyr[k] = d.gyr[k][:copy(d.gyr[k], d.gyr[k][drop:])]
	}
	d.void = d.void[:copy(d.void, d.void[drop:])]
	d.base += drop
}

// Swings is the person's usual swing, frozen from the first minutes.
type Swings struct {
	// Angle is the median toe-up turn, rad; Fastest the median largest rate,
	// rad/s; N the number of swings.
	Angle, Fastest float64
	N              int
}

// MeasureSwings finds the usual swing in pitch rates (rad/s, toe-down
// positive) sampled at rate Hz without gaps.
func MeasureSwings(rate float64, pitchRate []float64) Swings {
	f := newSwingFinder(rate, usualSwing{})
	var angles, fastest []float64
	keep := func(s swing) { angles, fastest = append(angles, s.angle), append(fastest, s.fastest) }
	for _, v := range pitchRate {
		if f.push(v) {
			keep(f.found)
		}
	}
	if s, ok := f.flush(); ok {
		keep(s)
	}
	if len(angles) == 0 {
		return Swings{}
	}
	slices.Sort(angles)
	slices.Sort(fastest)
	return Swings{angles[len(angles)/2], fastest[len(fastest)/2], len(angles)}
}
