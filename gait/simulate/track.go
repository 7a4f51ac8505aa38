package simulate

import (
	"fmt"
	"math"

	"setdown/signal/recording"
	"setdown/signal/remark"
)

// blockSamples is the length of the blocks in which tracks are read.
const blockSamples = 4096

// keptSamples is how many samples a track keeps (some 17 MB): a longer one makes
// them anew at every reading.
const keptSamples = 300_000

// Set returns the recording as tracks in memory, feet first, without a detour
// through files. Tracks stand on the nominal grid of their sensor, so the
// settings must have no jitter and no loss; Set panics if they have, because
// such faults exist only in files (see Settings.CleanClocks).
func (r *Recording) Set() *recording.Set {
	set := &recording.Set{}
	for _, p := range r.Places() {
		set.Tracks = append(set.Tracks, r.Track(p.Side, p.Site))
	}
	return set
}

// trackSource makes the samples of one track, or repeats those it kept.
type trackSource struct {
	r        *Recording
	c        *SensorSettings
	place    Place
	kept     []Sample
	complete bool // kept holds everything
	acc, gyr bool // something is clipped
}

// Track returns one sensor of the recording as a track; see Set.
func (r *Recording) Track(side recording.Side, site recording.Site) *recording.Track {
	c := r.sensorAt(side, site)
	if c == nil {
		panic(fmt.Sprintf("simulate: no %v sensor at the %v", side, site))
	}
	if c.SampleJitter > 0 || c.StampJitter > 0 || c.Loss > 0 {
		panic("simulate: a track in memory has no jitter and no loss; write CSV instead")
	}
	s := &trackSource{r: r, c: c, place: Place{side, site}}
	s.scan()
	name := FileName(side, site)
	clock := "simulated"
	if c.ClockDrift != 0 || c.ClockOffset != 0 {
		clock = name
	}
	meta := recording.Track{
		Inputs: []recording.Input{{Name: name}}, Label: name, Side: side, SideFrom: "given",
		Site: site, SiteFrom: "given", Rate: c.Rate, HasAcc: true, HasGyr: true, AccAxes: 3, Clock: clock,
	}
	if s.acc {
		meta.AccRange = c.AccRange
	}
	if s.gyr {
		meta.GyrRange = c.GyrRange
	}
	return recording.NewTrack(meta, s.read)
}

// scan makes the samples once, keeps them if they are few, and finds clipping.
func (s *trackSource) scan() {
	s.complete = true
	_ = s.r.Samples(s.place.Side, s.place.Site, func(x Sample) error {
		void := s.c.void(x)
		s.acc = s.acc || void&recording.VoidAcc != 0
		s.gyr = s.gyr || void&recording.VoidGyr != 0
		if len(s.kept) == keptSamples {
			s.kept, s.complete = nil, false
		}
		if s.complete {
			s.kept = append(s.kept, x)
		}
		return nil
	})
}

// samples hands on the kept samples, or makes them anew.
func (s *trackSource) samples(yield func(Sample) error) error {
	if !s.complete {
		return s.r.Samples(s.place.Side, s.place.Site, yield)
	}
	for _, x := range s.kept {
		if err := yield(x); err != nil {
			return err
		}
	}
	return nil
}

// read hands on the samples as blocks of one gap-free span.
func (s *trackSource) read(rs *remark.List, yield func(*recording.Block) error) (recording.Summary, error) {
	r := filler{c: s.c, Block: newBlock(s.c.ClockOffset), sum: recording.Summary{Spans: 1}}
	err := s.samples(func(x Sample) error {
		if r.Len() == blockSamples {
			if err := yield(r.Block); err != nil {
				return err
			}
			clearBlock(r.Block)
		}
		r.add(x)
		return nil
	})
	if err != nil {
		return recording.Summary{}, err
	}
	if r.clipped > 0 {
		at := remark.At(FileName(s.place.Side, s.place.Site), 0, r.firstClip)
		rs.Append(remark.Remark{Code: "clipped", Level: remark.Loss, Place: at, Count: r.clipped,
			Text: "samples stand at the end of the sensor's range"})
	}
	r.Last = true
	return r.sum, yield(r.Block)
}

// filler is a track while it is being read: the block that is being filled, and what
// was read so far.
type filler struct {
	*recording.Block
	c   *SensorSettings
	sum recording.Summary
	// clipped counts the samples at the end of the range; firstClip is the time of the
	// first, s.
	clipped   int
	firstClip float64
}

// add adds a sample to the block.
func (r *filler) add(x Sample) {
	if r.sum.Samples == 0 {
		r.sum.Begin = x.Time
	}
	r.sum.End = x.Time
	r.sum.Samples++
	void := r.c.void(x)
	if void != 0 {
		if r.clipped == 0 {
			r.firstClip = x.Time
		}
		r.clipped++
	}
	for i := range 3 {
		r.Acc[i], r.Gyr[i] = append(r.Acc[i], x.Acc[i]), append(r.Gyr[i], x.Gyr[i])
	}
	r.Void = append(r.Void, void)
}

// void marks a sample that stands at the end of the range.
func (c *SensorSettings) void(s Sample) recording.Void {
	var v recording.Void
	for i := range 3 {
		if c.AccRange > 0 && math.Abs(s.Acc[i]) >= c.AccRange {
			v |= recording.VoidAcc | recording.VoidHard
		}
		if c.GyrRange > 0 && math.Abs(s.Gyr[i]) >= c.GyrRange {
			v |= recording.VoidGyr | recording.VoidFast
		}
	}
	return v
}

// newBlock makes an empty block of span 0 that starts at start s.
func newBlock(start float64) *recording.Block {
	b := &recording.Block{Start: start, Void: make([]recording.Void, 0, blockSamples)}
	for i := range 3 {
		b.Acc[i], b.Gyr[i] = make([]float64, 0, blockSamples), make([]float64, 0, blockSamples)
	}
	return b
}

// clearBlock empties b for the samples after those it holds.
func clearBlock(b *recording.Block) {
	b.First += b.Len()
	b.Void = b.Void[:0]
	for i := range 3 {
		b.Acc[i], b.Gyr[i] = b.Acc[i][:0], b.Gyr[i][:0]
	}
}
