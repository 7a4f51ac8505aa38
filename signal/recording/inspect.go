package recording

import (
	"context"
	"math"

	"setdown/signal/remark"
)

// Sampling rates, Hz, that kinds of measures need. A contact's edges are known
// to about one interval T, and a duration between two of them to T/√6 (uniform
// error of the nearest sample); lowering lasts some 20–60 ms in running.
const (
	// RateCadence is enough to count steps.
	RateCadence = 15
	// RateContact is the least for initial contact and toe-off.
	RateContact = 80
	// RateLowering is the least for foot-flat and lowering in walking.
	RateLowering = 100
	// RateGood is what to choose: lowering in running, contact peaks.
	RateGood = 200
)

// Inspection is what was made of the sources, before anything is computed.
type Inspection struct {
	// Files in the order given.
	Files []FileView
	// Set is the opened set, ready to be read.
	Set *Set
	// Remarks of opening and of reading every track to its end.
	Remarks remark.List
}

// FileView is how one file was read.
type FileView struct {
	Input Input
	// Packing is "", "gzip" or "zip"; Encoding "UTF-8", "UTF-16" …; LineEnd "LF",
	// "CRLF" or "CR".
	Packing, Encoding, LineEnd string
	// Delimiter is "comma", "semicolon" …; Decimal "point" or "comma".
	Delimiter, Decimal string
	// Heading is the heading's line, 0 when there is none; First the first line
	// of data.
	Heading, First int
	// Columns are all columns, the unused ones too.
	Columns []ColumnView
	// Mapping says the same in the form of a mapping file, for saving; nil for a
	// layout that a mapping cannot say (long tables, sensors without a place).
	Mapping *Mapping
	// Tracks are the sensors in the file; Cadence is set for a watch export.
	Tracks  []TrackView
	Cadence *Cadence
}

// ColumnView is one column.
type ColumnView struct {
	Name string
	// Used is false for columns that play no part.
	Used bool
	// Role, Unit and UnitFrom are as in Channel.
	Role, Unit, UnitFrom string
}

// TrackView is what one track's signal shows.
type TrackView struct {
	Track *Track
	// Summary is what reading it to the end gave; Err why it could not be read.
	Summary Summary
	Err     error
	// MeasuredRate is the mean rate in Hz, before it was put on the grid; Jitter
	// is how far, s, 95 % of the stamps lie from an even grid at most.
	MeasuredRate, Jitter float64
	// Shared tells that several samples came with one stamp.
	Shared bool
	// Void counts the samples that lack a sound acceleration, a sound angular
	// rate, or their own time stamp.
	VoidAcc, VoidGyr, VoidTime int
	// Stretches are where the sensor lies still and where it moves, in order.
	Stretches []Stretch
	// Seconds has the extremes of each second, for a small picture.
	Seconds []Second
	// Uses says which kinds of measures the track can give.
	Uses []Use
	// Advice are the rules of docs/recording.md that the recording broke.
	Advice []Advice
}

// Stretch is a time range, s, in which the sensor moves or lies still.
type Stretch struct {
	Begin, End float64
	Moving     bool
}

// Second holds the extremes of about one second.
type Second struct {
	// Time is the middle, s.
	Time float64
	// AccLow and AccHigh bound the size of the acceleration, m/s²; GyrHigh is the
	// largest angular rate, rad/s; NaN without the sensor.
	AccLow, AccHigh, GyrHigh float64
	Moving                   bool
}

// Use is one kind of measure.
type Use struct {
	// What is "step rate", "contact times", "lowering" or "contact peaks".
	What     string
	Possible bool
	// Because says why not, or with what reservation; it may be empty.
	Because string
	// NeedsRate is the sampling rate in Hz that it needs.
	NeedsRate float64
}

// Advice is a rule of docs/recording.md that was broken.
type Advice struct {
	// Rule is the rule's heading in docs/recording.md.
	Rule string
	// Text says what was found, in one sentence.
	Text string
}

// Inspect opens the sources and reads every track to its end, without
// computing anything about gait. An error of opening is returned; a track that
// cannot be read to its end has it in its view.
func Inspect(ctx context.Context, sources []Source, opt Options) (*Inspection, error) {
	o, err := openAll(ctx, sources, opt)
	if err != nil {
		return nil, err
	}
	in := &Inspection{Set: o.set}
	in.Remarks.Join(&o.set.Remarks)
	views := map[*layout]int{}
	for i, l := range o.tables {
		in.Files = append(in.Files, l.view())
		views[l] = i
	}
	for i, d := range o.drafts {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		v := look(o.set.Tracks[i], d, &in.Remarks)
		f := &in.Files[views[o.layouts[d]]]
		f.Tracks = append(f.Tracks, v)
		f.Input = d.file.input()
	}
	for i, w := range o.watches {
		for l, k := range views {
			if l.f == w.f.f {
				in.Files[k].Cadence = o.set.Cadences[i]
				in.Files[k].Input = w.c.Input
			}
		}
	}
	return in, nil
}

// look reads a track and describes it.
func look(t *Track, d *draft, rs *remark.List) TrackView {
	v := TrackView{Track: t, MeasuredRate: d.main().stamps.measured, Jitter: d.main().stamps.jitter, Shared: d.main().stamps.packets}
	if v.Shared {
		v.Jitter = math.NaN()
	}
	s := seconds{rate: t.Rate, v: &v}
	v.Summary, v.Err = t.Read(rs, s.block)
	s.close()
	v.stretches()
	v.Uses = uses(t)
	v.Advice = advice(&v)
	return v
}

// seconds gathers extremes second by second.
type seconds struct {
	rate       float64
	v          *TrackView
	n          int
	begin      float64
	now        Second
	sum, sumSq float64
}

func (s *seconds) block(b *Block) error {
	for i, void := range b.Void {
		if s.n == 0 {
			s.begin = b.Start + float64(b.First+i)/s.rate
			s.now = Second{AccLow: math.Inf(1), AccHigh: math.NaN(), GyrHigh: math.NaN()}
		}
		s.count(void)
		a, w := size(b.Acc, i), size(b.Gyr, i)
		s.now.AccLow = min(s.now.AccLow, a)
		s.now.AccHigh = larger(s.now.AccHigh, a)
		s.now.GyrHigh = larger(s.now.GyrHigh, w)
		if math.IsNaN(a) {
			a = w
		}
		s.n++
		s.sum += a
		s.sumSq += a * a
		if s.n >= int(s.rate) {
			s.close()
		}
	}
	if b.Last {
		s.close()
	}
	return nil
}

func (s *seconds) count(void Void) {
	if void&VoidAcc != 0 {
		s.v.VoidAcc++
	}
	if void&VoidGyr != 0 {
		s.v.VoidGyr++
	}
	if void&VoidTime != 0 {
		s.v.VoidTime++
	}
}

// close ends a second.
func (s *seconds) close() {
	if s.n == 0 {
		return
	}
	mean := s.sum / float64(s.n)
	sd := math.Sqrt(max(0, s.sumSq/float64(s.n)-mean*mean))
	s.now.Moving = sd > moveShare*mean && !math.IsNaN(s.now.AccHigh) || math.IsNaN(s.now.AccHigh) && s.now.GyrHigh > 1
	if math.IsInf(s.now.AccLow, 1) {
		s.now.AccLow = math.NaN()
	}
	s.now.Time = s.begin + float64(s.n)/s.rate/2
	s.v.Seconds = append(s.v.Seconds, s.now)
	s.v.extend(s.begin, s.begin+float64(s.n)/s.rate, s.now.Moving)
	s.n, s.sum, s.sumSq = 0, 0, 0
}

// size is the length of the vector of sample i; NaN without the sensor.
func size(v [3][]float64, i int) float64 {
	sum, any := 0.0, false
	for _, c := range v {
		if c != nil {
			sum, any = sum+c[i]*c[i], true
		}
	}
	if !any {
		return math.NaN()
	}
	return math.Sqrt(sum)
}

// larger is the larger of two numbers, ignoring NaN.
func larger(a, b float64) float64 {
	if math.IsNaN(a) || b > a {
		return b
	}
	return a
}

// extend adds a second to the stretches.
func (v *TrackView) extend(begin, end float64, moving bool) {
	if n := len(v.Stretches); n > 0 && v.Stretches[n-1].Moving == moving && begin-v.Stretches[n-1].End < 0.5 {
		v.Stretches[n-1].End = end
		return
	}
	v.Stretches = append(v.Stretches, Stretch{begin, end, moving})
}

// stretches joins a single odd second with its neighbours, so that a short
// pause within a run does not cut it.
func (v *TrackView) stretches() {
	s := v.Stretches
	for i := 1; i+1 < len(s); i++ {
		if s[i].End-s[i].Begin < 1.5 && s[i-1].Moving == s[i+1].Moving && s[i].Begin-s[i-1].End < 0.5 && s[i+1].Begin-s[i].End < 0.5 {
			s[i-1].End = s[i+1].End
			s = append(s[:i], s[i+2:]...)
			i--
		}
	}
	v.Stretches = s
}
