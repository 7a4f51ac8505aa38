package filter

import (
	"math"
)

// maxChannels is how many channels a Stream takes: the axes of one sensor.
const maxChannels = 3

const (
	// lookAheadError is what a start of the backward pass away from the end of
	// the span may leave of its error: below the last bits of a float64 signal.
	lookAheadError = 1e-15
	// minSegment is the least number of samples between two starts of the
	// backward pass.
	minSegment = 1024
	// segmentLookAheads is the least length of a segment in look-aheads: the
	// look-ahead is computed twice, so the cost is 1/segmentLookAheads more.
	segmentLookAheads = 8
)

// Stream filters one gap-free span after the other with zero phase, block by
// block, over 1 to 3 channels in lockstep, in memory that does not grow with
// the span.
//
// The forward pass runs on from block to block. The backward pass is done
// segment by segment: segments have a fixed length and are counted from the
// span's first sample, and each starts Lookahead samples behind the segment's
// end, in the steady state of the value there, far enough for the start to be
// forgotten. The start depends on the position in the span only, so the output
// is the same to the bit however the span was cut into blocks, and equal to
// ZeroPhaseSpan. At the ends of the span it does what ZeroPhase does.
//
//	for each block: out := stream.Push(block)
//	at the span's end: out, err := stream.Flush()
//
// The outputs joined are as long as the inputs joined; sample k of the joined
// output belongs to sample k of the input. After the first segments nothing is
// allocated as long as blocks do not grow. A Stream is not safe for concurrent
// use.
type Stream struct {
	sos                SOS
	channels           int
	pad, look, segment int
	mem, backMem       [][maxChannels]memory
	received, emitted  int
	started            bool
	head               [maxChannels][]float64 // up to pad+1 first samples, unfiltered
	tail               [maxChannels][]float64 // pad+1 last samples, unfiltered
	ahead              [maxChannels][]float64 // filtered forwards, from sample emitted on
	out                [maxChannels][]float64 // what the current call gives back
}

// NewStream makes a Stream for the filter s. It panics unless channels is 1, 2
// or 3.
func NewStream(s SOS, channels int) *Stream {
	if channels < 1 || channels > maxChannels {
		panic("filter: channels must be 1, 2 or 3")
	}
	look := lookAhead(s)
	st := &Stream{
		sos: s, channels: channels, pad: PadLen(s), look: look,
		segment: max(minSegment, segmentLookAheads*look),
		mem:     make([][maxChannels]memory, len(s)),
		backMem: make([][maxChannels]memory, len(s)),
	}
	for ch := range channels {
		st.head[ch] = make([]float64, 0, st.pad+1)
		st.tail[ch] = make([]float64, 0, st.pad+1)
		st.ahead[ch] = make([]float64, 0, st.segment+st.look+st.pad)
	}
	return st
}

// lookAhead returns after how many samples a free oscillation of the filter has
// fallen below lookAheadError of its start.
func lookAhead(s SOS) int {
	slowest := s.slowestPole()
	if slowest <= 0 {
		return 2
	}
	return 2 + int(math.Ceil(math.Log(lookAheadError)/math.Log(slowest)))
}

// Lookahead returns how many samples behind a segment its backward pass starts.
func (st *Stream) Lookahead() int { return st.look }

// Delay returns the largest number of samples by which the output of Push can
// stay behind its input.
func (st *Stream) Delay() int { return st.segment + st.look }

// Emitted returns the index, within the span, of the next sample that Push or
// Flush will give.
func (st *Stream) Emitted() int { return st.emitted }

// Push takes the next samples of the span, one slice a channel, and returns
// the output that became certain, often none. The returned slices, one a
// channel, are valid until the next call and may be changed by the caller; x is
// not kept and not changed. Push panics if the number of channels or the
// lengths of the slices do not fit.
//
// A NaN or infinity in x spoils the output; Flush reports it.
func (st *Stream) Push(x ...[]float64) [][]float64 {
	if len(x) != st.channels {
		panic("filter: number of channels differs from the stream's")
	}
	n := len(x[0])
	for ch := range st.channels {
		if len(x[ch]) != n {
			panic("filter: channels of different length")
		}
		st.out[ch] = st.out[ch][:0]
		st.tail[ch] = keepLast(st.tail[ch], x[ch], st.pad+1)
	}
	st.received += n
	done := st.start(x)
	for done < n {
		done += st.advance(x, done)
	}
	return st.out[:st.channels]
}

// Flush ends the span: it returns the rest of its output and makes the stream
// ready for the next span. The error wraps ErrTooShort if the whole span had no
// more than PadLen samples (then there was no output at all), and ErrNotFinite
// if there was a NaN or infinity in it. A span without any sample is no error.
func (st *Stream) Flush() ([][]float64, error) {
	for ch := range st.channels {
		st.out[ch] = st.out[ch][:0]
	}
	var err error
	switch {
	case st.received == 0:
	case !st.started:
		err = tooShort(st.received, st.pad)
	default:
		err = st.finish()
	}
	st.Reset()
	return st.out[:st.channels], err
}

// Reset forgets the span so far, so that a new one can begin. Slices that the
// last call gave stay valid.
func (st *Stream) Reset() {
	st.received, st.emitted, st.started = 0, 0, false
	for ch := range st.channels {
		st.head[ch] = st.head[ch][:0]
		st.tail[ch] = st.tail[ch][:0]
		st.ahead[ch] = st.ahead[ch][:0]
	}
}

// start collects the first pad+1 samples of the span, and once they are there
// runs the forward pass over their odd reflection and over them. It returns how
// many samples of x it has used up.
func (st *Stream) start(x [][]float64) int {
	if st.started {
		return 0
	}
	used := min(st.pad+1-len(st.head[0]), len(x[0]))
	for ch := range st.channels {
		st.head[ch] = append(st.head[ch], x[ch][:used]...)
	}
	if len(st.head[0]) <= st.pad {
		return used
	}
	st.started = true
	var ext [maxChannels][]float64
	for ch := range st.channels {
		ext[ch] = st.ahead[ch][:st.pad]
		reflectStart(ext[ch], st.head[ch])
		st.sos.settle(st.mem, ch, ext[ch][0])
	}
	st.sos.run(st.mem, st.channels, false, &ext, &ext)
	st.take(st.head[:], 0, st.pad+1)
	return used
}

// advance filters samples of x from index from on forwards, at most to the end
// of the current segment's look-ahead, gives out the segment if it is complete,
// and returns how many samples it used.
func (st *Stream) advance(x [][]float64, from int) int {
	used := min(len(x[0])-from, st.segment+st.look-len(st.ahead[0]))
	st.take(x, from, from+used)
	if len(st.ahead[0]) == st.segment+st.look {
		st.emit(st.segment)
	}
	return used
}

// take appends samples from to to of x to ahead and filters them forwards.
func (st *Stream) take(x [][]float64, from, to int) {
	var part [maxChannels][]float64
	for ch := range st.channels {
		old := len(st.ahead[ch])
		st.ahead[ch] = append(st.ahead[ch], x[ch][from:to]...)
		part[ch] = st.ahead[ch][old:]
	}
	st.sos.run(st.mem, st.channels, false, &part, &part)
}

// emit runs the backward pass over all that is in ahead and gives out its first
// keep samples.
func (st *Stream) emit(keep int) {
	var x, y [maxChannels][]float64
	for ch := range st.channels {
		x[ch] = st.ahead[ch]
		st.sos.settle(st.backMem, ch, x[ch][len(x[ch])-1])
		old := len(st.out[ch])
		st.out[ch] = append(st.out[ch], x[ch]...) // room; overwritten below
		y[ch] = st.out[ch][old:]
		st.out[ch] = st.out[ch][:old+keep]
	}
	st.sos.run(st.backMem, st.channels, true, &y, &x)
	for ch := range st.channels {
		st.ahead[ch] = st.ahead[ch][:copy(st.ahead[ch], st.ahead[ch][keep:])]
	}
	st.emitted += keep
}

// finish runs the forward pass over the odd reflection of the span's end and
// the backward pass from there over all that was not yet given out.
func (st *Stream) finish() error {
	rest := len(st.ahead[0])
	var ext [maxChannels][]float64
	for ch := range st.channels {
		ext[ch] = st.head[ch][:st.pad]
		reflectEnd(ext[ch], st.tail[ch])
	}
	st.take(ext[:], 0, st.pad)
	for ch := range st.channels {
		// Feedback never forgets a NaN or infinity: the end shows it.
		if last := st.ahead[ch][len(st.ahead[ch])-1]; last-last != 0 {
			return ErrNotFinite
		}
	}
	st.emit(rest)
	return nil
}

// keepLast returns the last limit samples of tail followed by x, in the memory
// of tail.
func keepLast(tail, x []float64, limit int) []float64 {
	if len(x) >= limit {
		return append(tail[:0], x[len(x)-limit:]...)
	}
	if surplus := len(tail) + len(x) - limit; surplus > 0 {
		tail = tail[:copy(tail, tail[surplus:])]
	}
	return append(tail, x...)
}
