package web

import (
	"context"
	"fmt"
	"strings"
	"time"

	"setdown/gait"
	"setdown/gait/diary"
	"setdown/signal/recording"
	"setdown/signal/remark"
	"setdown/signal/unit"
)

// seen is what the input check shows: what was found in the files, as text, and
// what can be corrected.
type seen struct {
	Files   []seenFile
	Remarks []seenRemark
	// Groups are the files whose columns can be corrected, those that were read
	// alike together.
	Groups []columnGroup
	// Fixed names the files whose columns cannot be corrected here.
	Fixed string
	// Rate is the sampling rate in Hz that was given for files without time.
	Rate float64
	// Steps is the step rate of files without the motion of a foot.
	Steps string
	// Motion tells that there is a foot or shin whose steps can be measured.
	Motion bool
	// Day is the recording's own day, zero where the files do not tell.
	Day   diary.Date
	Start *time.Time

	failed []error
}

type seenRemark struct{ Level, Text string }

// seenFile is one file.
type seenFile struct {
	Name, Written string
	Sensors       []seenSensor
}

// seenSensor is one sensor of a file.
type seenSensor struct {
	Where, Length, Rate string
	Watch               bool
	Side                recording.Side
	Can, Cannot         []string
	Advice              []string
	// Bars is a small picture of the turning along the recording, each 0 to 15.
	Bars []int
	// Member is the file's name in an archive, "" where it stands for itself.
	Member string

	// steps tells that steps can be measured on it. site, clock, begin and end, s, are
	// the track's own.
	steps      bool
	site       recording.Site
	clock      string
	begin, end float64
}

// seenColumn is one column with what it was read as.
type seenColumn struct {
	Name       string
	Index      int // from 1
	Role, Unit string
	UnitFrom   string
	Check      string
}

// roles are what a column can be corrected to, with the words people read.
var roles = []struct{ Key, Label string }{
	{"", "not used"}, {"time", "time"}, {"date", "date"}, {"counter", "sample counter"},
	{"acc_x", "acceleration x"}, {"acc_y", "acceleration y"}, {"acc_z", "acceleration z"},
	{"gyr_x", "turning rate x"}, {"gyr_y", "turning rate y"}, {"gyr_z", "turning rate z"},
	{"cadence", "step rate"}, {"speed", "speed"},
}

// unitsOffered are the units that can be chosen; "" leaves it to the file.
var unitsOffered = []unit.Unit{unit.Second, unit.Millisecond, unit.Microsecond, unit.Nanosecond,
	unit.G, unit.MilliG, unit.MetrePerSecond2, unit.DegreePerSecond, unit.MilliDegPerSecond, unit.RadianPerSecond,
	unit.PerMinute, unit.MetrePerSecond, unit.KilometrePerHour}

func newSeen(ctx context.Context, v *recording.Inspection, single bool) *seen {
	out := &seen{}
	for i := range v.Files {
		f := &v.Files[i]
		out.Files = append(out.Files, out.file(f))
	}
	for _, t := range v.Set.Tracks {
		out.Motion = out.Motion || onLeg(t)
	}
	if !out.Motion && len(out.failed) == 0 {
		out.Steps = stepRateWords(ctx, v.Set)
	}
	for _, r := range v.Remarks.Sorted() {
		if r.Level > remark.Note || len(out.Remarks) < 12 {
			out.Remarks = append(out.Remarks, seenRemark{r.Level.String(), r.String()})
		}
	}
	if !v.Set.Start.IsZero() {
		start := v.Set.Start
		out.Day, out.Start = diary.DateOf(start), &start
	}
	out.correctable(v.Files, single)
	return out
}

// of lists what was found in an uploaded file: itself, or the members of an archive.
func (s *seen) of(name string) []*seenFile {
	var out []*seenFile
	if s == nil {
		return out
	}
	for i := range s.Files {
		if n := s.Files[i].Name; n == name || strings.HasPrefix(n, name+"/") {
			out = append(out, &s.Files[i])
		}
	}
	return out
}

// onLeg tells a sensor on which steps can be measured.
func onLeg(t *recording.Track) bool {
	leg := t.Site == recording.Foot || t.Site == recording.SiteUnknown || t.Site == recording.Shin
	return leg && t.HasAcc && t.HasGyr
}

// stepRateWords gives the step rate of watches and of sensors elsewhere.
func stepRateWords(ctx context.Context, set *recording.Set) string {
	res, err := gait.Cadence(ctx, set, seed)
	if err != nil || len(res.Parts) == 0 {
		return ""
	}
	c := res.Parts[0].Cadence
	text := fmt.Sprintf("%.0f steps a minute, both feet", unit.PerMinute.FromBase(c.Center))
	if c.HasInterval() {
		text += fmt.Sprintf(" (95 %% interval %.0f to %.0f)", unit.PerMinute.FromBase(c.Low), unit.PerMinute.FromBase(c.High))
	}
	return text
}

func (s *seen) file(f *recording.FileView) seenFile {
	var words []string
	for _, w := range []string{f.Packing, f.Encoding, f.LineEnd + " line ends", f.Delimiter + "-separated", "decimal " + f.Decimal} {
		if w != "" {
			words = append(words, w)
		}
	}
	if f.Heading > 0 {
		words = append(words, fmt.Sprintf("heading in line %d", f.Heading))
	}
	words = append(words, fmt.Sprintf("data from line %d", f.First))
	out := seenFile{Name: f.Input.Name, Written: strings.Join(words, ", ")}
	for i := range f.Tracks {
		t := &f.Tracks[i]
		if t.Err != nil {
			s.failed = append(s.failed, t.Err)
			continue
		}
		out.Sensors = append(out.Sensors, sensor(t))
	}
	if _, member, packed := strings.Cut(out.Name, "/"); packed {
		for i := range out.Sensors {
			out.Sensors[i].Member = member
		}
	}
	if f.Cadence != nil {
		out.Sensors = append(out.Sensors, seenSensor{Watch: true, Where: "watch, step rate only", Length: fmt.Sprintf("%d rows", len(f.Cadence.Time)),
			Cannot: []string{"lowering: a watch export holds no motion of the foot"}})
	}
	return out
}

func sensor(v *recording.TrackView) seenSensor {
	t := v.Track
	out := seenSensor{Side: t.Side, Where: sensorWords(t), Length: lengthWords(v.Summary), Rate: fmt.Sprintf("%.4g samples a second", t.Rate),
		steps: onLeg(t), site: t.Site, clock: t.Clock, begin: v.Summary.Begin, end: v.Summary.End}
	for _, u := range v.Uses {
		switch {
		case u.Possible && u.Because != "":
			out.Can = append(out.Can, u.What+" ("+u.Because+")")
		case u.Possible:
			out.Can = append(out.Can, u.What)
		default:
			out.Cannot = append(out.Cannot, u.What+": "+u.Because)
		}
	}
	for _, a := range v.Advice {
		out.Advice = append(out.Advice, a.Text)
	}
	out.Bars = bars(v.Seconds)
	return out
}

func sensorWords(t *recording.Track) string {
	side := t.Side.String() + " side"
	if t.Side == recording.SideUnknown {
		side = "side not known"
	} else if t.SideFrom != "" && t.SideFrom != "given" {
		side += ", from the " + t.SideFrom
	}
	site := t.Site.String()
	if t.Site == recording.SiteUnknown {
		site = "place not known"
	}
	if !t.HasGyr {
		site += ", accelerometer only"
	}
	return site + ", " + side
}

func lengthWords(s recording.Summary) string {
	d := s.Duration()
	text := fmt.Sprintf("%d s, %d samples", int(d), s.Samples)
	if d >= 60 {
		text = fmt.Sprintf("%d min %02d s, %d samples", int(d)/60, int(d)%60, s.Samples)
	}
	if s.GapSeconds > 0 {
		text += fmt.Sprintf(", %.1f s lost in gaps", s.GapSeconds)
	}
	return text
}

// barCount is how many bars the small picture has.
const barCount = 60

// bars thins the turning of each second to the largest of each stretch.
func bars(in []recording.Second) []int {
	n := min(barCount, len(in))
	out := make([]int, n)
	top := 0.0
	value := func(s recording.Second) float64 { return max(0, s.GyrHigh) }
	for _, s := range in {
		top = max(top, value(s))
	}
	for k := range n {
		for _, s := range in[k*len(in)/n : (k+1)*len(in)/n] {
			if v := value(s); top > 0 {
				out[k] = max(out[k], int(15*v/top+0.5))
			}
		}
	}
	return out
}
