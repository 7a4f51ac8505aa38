package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"setdown/gait"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// showFile prints one file.
func showFile(ctx context.Context, w io.Writer, seen *recording.Inspection, f *recording.FileView) {
	fmt.Fprintf(w, "%s\n", f.Input.Name)
	fmt.Fprintf(w, "  written as   %s\n", writtenAs(f))
	tab := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tab, "  column\tread as\tunit\tunit from\tcheck")
	checks := channelChecks(f)
	for _, col := range f.Columns {
		if !col.Used {
			fmt.Fprintf(tab, "  %s\tnot used\t\t\t\n", col.Name)
			continue
		}
		fmt.Fprintf(tab, "  %s\t%s\t%s\t%s\t%s\n", col.Name, col.Role, col.Unit, col.UnitFrom, checks[col.Name])
	}
	tab.Flush()
	for i := range f.Tracks {
		showTrack(ctx, w, seen.Set, &f.Tracks[i])
	}
	if f.Cadence != nil {
		fmt.Fprintf(w, "  holds        a step rate (%d rows) and no motion; use: setdown cadence %s\n", len(f.Cadence.Time), f.Input.Name)
	}
	fmt.Fprintln(w)
}

func writtenAs(f *recording.FileView) string {
	parts := []string{f.Encoding, f.LineEnd + " line ends", f.Delimiter + "-separated", "decimal " + f.Decimal}
	if f.Packing != "" {
		parts = append([]string{f.Packing}, parts...)
	}
	if f.Heading > 0 {
		parts = append(parts, fmt.Sprintf("heading in line %d", f.Heading))
	} else {
		parts = append(parts, "no heading")
	}
	return strings.Join(append(parts, fmt.Sprintf("data from line %d", f.First)), ", ")
}

// channelChecks maps a column's name to how its unit was checked.
func channelChecks(f *recording.FileView) map[string]string {
	out := map[string]string{}
	for _, t := range f.Tracks {
		for _, ch := range t.Track.Mapping {
			out[ch.Name] = ch.Check
		}
	}
	return out
}

// evenStamps is the jitter in s below which stamps differ by rounding only.
const evenStamps = 1e-7

// showTrack prints what one sensor's signal shows.
func showTrack(ctx context.Context, w io.Writer, set *recording.Set, v *recording.TrackView) {
	t := v.Track
	fmt.Fprintf(w, "  sensor       %s, %s side%s%s\n", t.Site, t.Side, from(" (place from the ", t.SiteFrom), from(" (side from the ", t.SideFrom))
	if v.Err != nil {
		fmt.Fprintf(w, "  cannot be read to its end: %s\n", v.Err)
		return
	}
	fmt.Fprintf(w, "  rate         %.5g Hz", t.Rate)
	switch {
	case v.Jitter >= evenStamps:
		fmt.Fprintf(w, ", stamps within %.2g ms of an even grid", v.Jitter*1e3)
	case v.Jitter > 0:
		fmt.Fprint(w, ", evenly stamped")
	}
	fmt.Fprintf(w, "\n  duration     %s, %d rows", duration(v.Summary.Duration()), v.Summary.Samples)
	if v.Summary.Spans > 1 {
		fmt.Fprintf(w, ", %d gap-free spans, %.2f s lost in gaps", v.Summary.Spans, v.Summary.GapSeconds)
	}
	fmt.Fprintln(w)
	if t.AccRange > 0 {
		fmt.Fprintf(w, "  clipping     accelerometer at %.3g g\n", unit.G.FromBase(t.AccRange))
	}
	if t.GyrRange > 0 {
		fmt.Fprintf(w, "  clipping     gyroscope at %.0f deg/s\n", unit.DegreePerSecond.FromBase(t.GyrRange))
	}
	showMotion(ctx, w, set, v)
	for _, u := range v.Uses {
		fmt.Fprintf(w, "  %-14s %s\n", u.What+"?", possible(u))
	}
	for _, a := range v.Advice {
		fmt.Fprintf(w, "  advice       %s (docs/recording.md, %s)\n", a.Text, a.Rule)
	}
}

func from(text, source string) string {
	if source == "" {
		return ""
	}
	return text + source + ")"
}

func possible(u recording.Use) string {
	text := "yes"
	if !u.Possible {
		text = "no"
	}
	if u.Because != "" {
		text += ": " + u.Because
	}
	return text
}

// showMotion prints the picture and where the person stands, walks or runs.
func showMotion(ctx context.Context, w io.Writer, set *recording.Set, v *recording.TrackView) {
	fmt.Fprintf(w, "  turning      %s\n", sparkline(v.Seconds))
	bouts := boutsOf(ctx, set, v.Track)
	for _, b := range bouts {
		fmt.Fprintf(w, "  %-12s %.1f to %.1f s, %d steps of this foot\n", b.Gait, b.Begin, b.End, b.Steps)
	}
	if len(bouts) > 0 {
		return
	}
	for _, s := range v.Stretches {
		what := "still"
		if s.Moving {
			what = "moving"
		}
		fmt.Fprintf(w, "  %-12s %.1f to %.1f s\n", what, s.Begin, s.End)
	}
}

// boutsOf finds the stretches of walking and running of a foot; none where its
// steps cannot be found.
func boutsOf(ctx context.Context, set *recording.Set, t *recording.Track) []gait.Bout {
	one := &recording.Set{Tracks: []*recording.Track{t}, Start: set.Start}
	res, err := gait.Analyze(ctx, one, gait.Settings{Version: version})
	if err != nil {
		return nil
	}
	return gait.Bouts(res.Steps, t.Side)
}

// sparkBars are eighths of a line's height.
var sparkBars = []rune("▁▂▃▄▅▆▇█")

// sparkWidth is the width of the picture in characters.
const sparkWidth = 60

// sparkline draws the largest turning of each part of the recording.
func sparkline(seconds []recording.Second) string {
	if len(seconds) == 0 {
		return "no picture"
	}
	top := 0.0
	for _, s := range seconds {
		top = math.Max(top, level(s))
	}
	n := min(sparkWidth, len(seconds))
	var b strings.Builder
	for i := range n {
		high := 0.0
		for _, s := range seconds[i*len(seconds)/n : (i+1)*len(seconds)/n] {
			high = math.Max(high, level(s))
		}
		b.WriteRune(sparkBars[int(math.Min(7, 8*high/math.Max(top, 1e-9)))])
	}
	return b.String()
}

// level is the turning of a second, or the acceleration where there is no
// gyroscope.
func level(s recording.Second) float64 {
	if !math.IsNaN(s.GyrHigh) {
		return s.GyrHigh
	}
	if math.IsNaN(s.AccHigh) {
		return 0
	}
	return s.AccHigh - s.AccLow
}

func duration(seconds float64) string {
	if seconds < 120 {
		return fmt.Sprintf("%.1f s", seconds)
	}
	return fmt.Sprintf("%d min %02.0f s", int(seconds)/60, math.Mod(seconds, 60))
}
