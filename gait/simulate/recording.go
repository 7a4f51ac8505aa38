package simulate

import (
	"fmt"
	"math"
	"math/rand/v2"

	"setdown/signal/recording"
	"setdown/signal/remark"
)

// blockSamples is the length of the blocks in which tracks are read.
const blockSamples = 4096

// Recording is a simulated recording. It holds settings and truth only: samples
// are made anew whenever they are asked for, so that memory does not grow with
// the length, and methods may be called from several goroutines.
type Recording struct {
	settings Settings
	steps    []Step
}

// Run prepares the recording that the settings describe. It panics on settings
// that no person could have meant: a gait other than walking or running, a
// duration or cadence that is not positive.
func Run(s Settings) *Recording {
	if s.Duration <= 0 || s.Cadence <= 0 {
		panic(fmt.Sprintf("simulate: duration %g s and cadence %g steps/min must be positive", s.Duration, s.Cadence))
	}
	return &Recording{settings: s, steps: Truth(s)}
}

// Settings returns what the recording was made from.
func (r *Recording) Settings() Settings { return r.settings }

// Steps returns the truth, a row a step, both feet in order of initial contact.
// The slice must not be changed.
func (r *Recording) Steps() []Step { return r.steps }

// Sample is one row: the time stamp in s on the sensor's clock, specific force in
// m/s² and angular rate in rad/s along the sensor's axes.
type Sample struct {
	Time     float64
	Acc, Gyr Vector
}

// sensorAt returns the settings of a sensor, or nil where there is none.
func (r *Recording) sensorAt(side recording.Side, site recording.Site) *SensorSettings {
	s := &r.settings
	var c *SensorSettings
	switch site {
	case recording.Foot:
		c = &s.side(side).Foot
	case recording.Shin:
		c = &s.side(side).Shin
	case recording.Waist:
		c = &s.Waist
	case recording.Wrist:
		c = &s.Wrist
	default:
		panic("simulate: no sensor can be at an unknown site")
	}
	if c.Rate <= 0 {
		return nil
	}
	return c
}

// source returns the ideal readings of one sensor.
func (r *Recording) source(c *SensorSettings, side recording.Side, site recording.Site) source {
	s := &r.settings
	switch site {
	case recording.Foot:
		m := newFootMotion(s, side, nil)
		return func(t float64) reading {
			p := m.at(t)
			return p.read(fromBall(c.Position), p.specific(s.Slope))
		}
	case recording.Shin:
		return newShinMotion(s, side, c.Position).read
	case recording.Waist:
		return newTrunkMotion(s).waist
	default:
		m := newTrunkMotion(s)
		return func(t float64) reading { return m.wrist(t, c.Position) }
	}
}

// fromBall turns a place from the heel's lower edge into one from the pose's point.
func fromBall(v Vector) Vector {
	return Vector{v[0] - ballForward, v[1], v[2] - ballRadius}
}

// Place names one sensor of a recording.
type Place struct {
	Side recording.Side
	Site recording.Site
}

// Places lists the sensors of the recording: feet, shins, waist, wrist, left
// before right.
func (r *Recording) Places() []Place {
	var out []Place
	for _, p := range []Place{
		{recording.Left, recording.Foot}, {recording.Right, recording.Foot},
		{recording.Left, recording.Shin}, {recording.Right, recording.Shin},
		{recording.SideUnknown, recording.Waist}, {recording.SideUnknown, recording.Wrist},
	} {
		if r.sensorAt(p.Side, p.Site) != nil {
			out = append(out, p)
		}
	}
	return out
}

// Samples hands the rows of one sensor to yield in order of sampling until the
// recording ends or yield returns an error, which is returned as it is. A side
// must be given for foot and shin. It panics if there is no such sensor.
func (r *Recording) Samples(side recording.Side, site recording.Site, yield func(Sample) error) error {
	c := r.sensorAt(side, site)
	if c == nil {
		panic(fmt.Sprintf("simulate: no %v sensor at the %v", side, site))
	}
	stream := uint64(site)<<4 | uint64(side)
	n := newSensor(c, r.source(c, side, site), r.settings.Seed, stream)
	rng := rand.New(rand.NewPCG(r.settings.Seed, 0xc10c<<16|stream))
	lost := false
	for k := 0; ; k++ {
		shown := float64(k) / c.Rate
		sampling, writing := jitter(rng, c.SampleJitter, c.Rate), jitter(rng, c.StampJitter, c.Rate)
		t := (shown + sampling) * (1 + c.ClockDrift*1e-6)
		if t > r.settings.Duration {
			return nil
		}
		if c.PacketSamples > 0 && k%c.PacketSamples == 0 {
			lost = rng.Float64() < c.Loss
		}
		v := n.sample(t)
		if lost {
			continue
		}
		if err := yield(Sample{c.ClockOffset + shown + sampling + writing, v.acc, v.gyr}); err != nil {
			return err
		}
	}
}

// jitter draws a time error in s, cut at ±0.4 sampling intervals.
func jitter(rng *rand.Rand, sd, rate float64) float64 {
	if sd <= 0 {
		return 0
	}
	limit := 0.4 / rate
	return math.Min(limit, math.Max(-limit, sd*rng.NormFloat64()))
}

// Set returns the recording as tracks in memory, foot sensors first, without a
// detour through files. Tracks stand on the nominal grid of their sensor, so the
// settings must have no jitter and no loss; Set panics if they have, because
// such faults exist only in files.
func (r *Recording) Set() *recording.Set {
	set := &recording.Set{}
	for _, p := range r.Places() {
		set.Tracks = append(set.Tracks, r.Track(p.Side, p.Site))
	}
	return set
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
	name := FileName(side, site)
	clock := "simulated"
	if c.ClockDrift != 0 || c.ClockOffset != 0 {
		clock = name
	}
	meta := recording.Track{
		Inputs: []recording.Input{{Name: name}}, Label: name, Side: side, SideFrom: "given",
		Site: site, SiteFrom: "given", Rate: c.Rate, HasAcc: true, HasGyr: true, AccAxes: 3,
		Clock: clock, AccRange: c.AccRange, GyrRange: c.GyrRange,
	}
	return recording.NewTrack(meta, func(rs *remark.List, yield func(*recording.Block) error) (recording.Summary, error) {
		return r.blocks(c, side, site, rs, yield)
	})
}

// blocks makes samples and hands them on as blocks of one gap-free span.
func (r *Recording) blocks(c *SensorSettings, side recording.Side, site recording.Site, rs *remark.List,
	yield func(*recording.Block) error) (recording.Summary, error) {
	b := newBlock(c.ClockOffset)
	clipped, samples := 0, 0
	var first, last, firstClip float64
	err := r.Samples(side, site, func(s Sample) error {
		if b.Len() == blockSamples {
			if err := yield(b); err != nil {
				return err
			}
			clearBlock(b)
		}
		if samples == 0 {
			first = s.Time
		}
		last = s.Time
		samples++
		void := c.void(s)
		if void != 0 {
			if clipped == 0 {
				firstClip = s.Time
			}
			clipped++
		}
		for i := range 3 {
			b.Acc[i], b.Gyr[i] = append(b.Acc[i], s.Acc[i]), append(b.Gyr[i], s.Gyr[i])
		}
		b.Void = append(b.Void, void)
		return nil
	})
	if err != nil {
		return recording.Summary{}, err
	}
	if clipped > 0 {
		rs.Append(remark.Remark{Code: "clipped", Level: remark.Loss, Count: clipped,
			Place: remark.At(FileName(side, site), 0, firstClip), Text: "samples stand at the end of the sensor's range"})
	}
	b.Last = true
	sum := recording.Summary{Samples: samples, Begin: first, End: last, Spans: 1}
	return sum, yield(b)
}

// void marks a sample that stands at the end of the range.
func (c *SensorSettings) void(s Sample) recording.Void {
	var v recording.Void
	for i := range 3 {
		if c.AccRange > 0 && math.Abs(s.Acc[i]) >= c.AccRange {
			v |= recording.VoidAcc
		}
		if c.GyrRange > 0 && math.Abs(s.Gyr[i]) >= c.GyrRange {
			v |= recording.VoidGyr
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
