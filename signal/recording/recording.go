// Package recording is the ingestion layer: it turns any CSV dialect of a
// wearable sensor into tracks of uniform samples in base units, and says what
// it found, assumed, repaired and could not use.
//
// The order of work is: open a source (compression, character encoding) →
// sniff the dialect (delimiter, decimal sign, preamble, header) → map columns
// to channels and units, checked against physics → read rows with their line
// numbers → put them on one clock → a uniform grid per gap-free span.
//
// Everything that is decided (dialect, units, rate, spans' rule) is decided
// once, from the first DecideSeconds of movement, and then frozen; rows that
// disagree later become remarks. A Track can therefore be read block by block
// with memory that does not grow with the recording.
//
// The package knows nothing of gait.
package recording

import (
	"time"

	"setdown/signal/remark"
)

// DecideSeconds is how much movement, in s, decides dialect, units and rate.
const DecideSeconds = 120

// Side is the side of the body that a sensor is on.
type Side uint8

// The sides.
const (
	SideUnknown Side = iota
	Left
	Right
)

// String returns "unknown", "left" or "right".
func (s Side) String() string { return [...]string{"unknown", "left", "right"}[s] }

// Other returns the opposite side; SideUnknown stays unknown.
func (s Side) Other() Side { return [...]Side{SideUnknown, Right, Left}[s] }

// MarshalText writes the side as its word.
func (s Side) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Site is the part of the body that a sensor is on.
type Site uint8

// The sites.
const (
	SiteUnknown Site = iota
	Foot
	Shin
	Waist
	Wrist
)

// String returns "unknown", "foot", "shin", "waist" or "wrist".
func (s Site) String() string { return [...]string{"unknown", "foot", "shin", "waist", "wrist"}[s] }

// MarshalText writes the site as its word.
func (s Site) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Void marks, per sample, which measures a sample must not be used for.
type Void uint8

// The bits of a Void. A sample without any bit is sound.
const (
	// VoidAcc: an acceleration was clipped or missing and bridged.
	VoidAcc Void = 1 << iota
	// VoidGyr: an angular rate was clipped or missing and bridged.
	VoidGyr
	// VoidTime: the sample stands on a repaired time stamp.
	VoidTime
	// VoidFast, beside VoidGyr: the angular rate stood at the end of the
	// gyroscope's range, so that the true one is larger.
	VoidFast
	// VoidHard, beside VoidAcc, is the same of an acceleration.
	VoidHard
)

// Channel is one mapped column.
type Channel struct {
	// Name is the column's heading as it stands in the file.
	Name string `json:"column"`
	// Role is what it was read as: "time", "acc_x" … "gyr_z", "side", "cadence" ….
	Role string `json:"role"`
	// Unit is the unit's symbol, for example "g".
	Unit string `json:"unit"`
	// UnitFrom says where the unit came from: "header", "units row", "file name",
	// "inferred", "given".
	UnitFrom string `json:"unit_from"`
	// Check says how the unit was checked against physics, with the numbers;
	// empty when it was not.
	Check string `json:"check,omitempty"`
}

// Input describes one input file (or member of an archive) for session.json.
type Input struct {
	// Name is the file's name without folders.
	Name string
	// SHA256 is the hash of the bytes as given (before decompression), in hex.
	SHA256 string
	// Bytes is the size as given.
	Bytes int64
}

// Track is one sensor on one body part, from one or more files. It is made by
// Open and read, as often as wanted, with Read.
type Track struct {
	// Inputs are the files the track's samples come from: one, or two where
	// accelerometer and gyroscope were separate.
	Inputs []Input
	// Label names the track in messages: the file name, with the sensor's name
	// in it where a file holds several.
	Label string
	Side  Side
	// SideFrom says how the side was found: "given", "file name", "file names"
	// (of two that differ in a short word), "column", "lines before the heading",
	// "value", or "" when unknown.
	SideFrom string
	Site     Site
	// SiteFrom is as SideFrom, and "signal" when inferred.
	SiteFrom string
	// Rate is the frozen sampling rate in Hz of the uniform grid.
	Rate float64
	// HasAcc and HasGyr say which sensors are present with all three axes.
	HasAcc, HasGyr bool
	// AccAxes counts acceleration axes: 3, or fewer for a damaged export, from
	// which cadence can still be found.
	AccAxes int
	// AccRange and GyrRange are the full-scale ranges, m/s² and rad/s, at which
	// clipping was recognised; 0 when nothing clipped.
	AccRange, GyrRange float64
	// Mapping lists the columns in use.
	Mapping []Channel
	// Unread are the names of the columns of numbers, in the file, that tell nothing:
	// among them may be what the track lacks.
	Unread []string
	// Clock says whether tracks share a time axis: equal Clock values (and not
	// "") mean that times may be compared between tracks. ClockAbsolute is that of
	// points in time.
	Clock string

	read func(rs *remark.List, yield func(*Block) error) (Summary, error)
}

// ClockAbsolute is the Clock of tracks whose stamps are points in time.
const ClockAbsolute = "absolute"

// Block is a run of consecutive samples of one track on its uniform grid. The
// slices are reused unless Stays: they are valid until yield returns, and must be
// copied if they are kept.
type Block struct {
	// Span counts the gap-free spans from 0; samples of different spans must
	// never be filtered or integrated together.
	Span int
	// First is the index, within the span, of the block's first sample.
	First int
	// Start is the time in s, on the recording's time axis, of sample 0 of the
	// span: sample i of the block stands at Start + (First+i)/rate.
	Start float64
	// Acc holds the specific force in m/s² and Gyr the angular rate in rad/s,
	// along the sensor's own axes. An absent sensor has nil slices.
	Acc, Gyr [3][]float64
	// Void has a mask for each sample.
	Void []Void
	// Last is true for the last block of a span.
	Last bool
	// Stays tells that Acc and Gyr, but not Void, stay as they are after yield; who
	// has the block may then change them.
	// The samples of the next such block then stand behind them in memory, within
	// the capacity of the slices.
	Stays bool
}

// Len returns the number of samples in the block.
func (b *Block) Len() int { return len(b.Void) }

// Summary is what is known only after a track was read to its end.
type Summary struct {
	// Samples is the number of raw rows that were used.
	Samples int
	// Begin and End are the times in s of the first and last sample.
	Begin, End float64
	// Spans is the number of gap-free spans.
	Spans int
	// GapSeconds is the time in s lost in gaps.
	GapSeconds float64
}

// Duration returns End − Begin in s.
func (s Summary) Duration() float64 { return s.End - s.Begin }

// Read reads the whole track and hands it to yield block by block, in time
// order. An error from yield ends the reading and is returned as it is. What
// was found on the way (gaps, repeats, clipping, bad cells) is added to rs.
// Read may be called again, also at the same time from another goroutine: each
// call opens the source anew, but that the first may find the rows read by Open.
func (t *Track) Read(rs *remark.List, yield func(*Block) error) (Summary, error) {
	return t.read(rs, yield)
}

// NewTrack makes a track whose samples come from read instead of a file: the
// simulator and tests use it. The function must follow the contract of Read.
func NewTrack(meta Track, read func(rs *remark.List, yield func(*Block) error) (Summary, error)) *Track {
	meta.read = read
	return &meta
}

// Cadence is a step-rate series as watches export it at about 1 Hz.
type Cadence struct {
	// Input is the file it came from.
	Input Input
	Label string
	// Time is s on the recording's axis; StepsPerMinute counts both feet;
	// Speed is m/s, NaN where unknown. All have the same length.
	Time, StepsPerMinute, Speed []float64
	Mapping                     []Channel
}

// Set is everything that was opened together.
type Set struct {
	// Tracks in the order given, and within a file in the order of columns.
	Tracks []*Track
	// Cadences holds watch exports without raw motion.
	Cadences []*Cadence
	// Start is the absolute time of 0 s where the inputs have absolute time
	// (the earliest first sample of all inputs), else the zero Time and times
	// stay on the input's own axis.
	Start time.Time
	// Remarks of opening: dialect, mapping, units, rate.
	Remarks remark.List
}
