package web

import (
	"fmt"
	"math"
	"slices"

	"setdown/signal/recording"
)

// leastCommon is how long two recordings of one foot must have in common, s, to be
// doubted: a cut between files may overlap a little.
const leastCommon = 2

// worn is one sensor on a leg, as it will be worked on.
type worn struct {
	file string
	side recording.Side
	// packed tells that it came with others in one archive.
	packed bool
	*seenSensor
}

// doubts says, a sentence each, where the feet are not clear: whoever sent the files
// knows, and what is computed of a foot taken for the other is wrong without showing it.
// The caller holds in.mu.
func (in *intake) doubts() []string {
	all, out := in.worn(), []string(nil)
	for i, a := range all {
		if a.side == recording.SideUnknown {
			what := "Say left or right"
			if a.packed {
				what = "Send the files unpacked, so that each can be given its foot"
			}
			out = append(out, "Nothing says which foot "+a.file+" is of. "+what+": otherwise its steps count for the step rate only.")
			continue
		}
		for _, b := range all[:i] {
			if a.side == b.side && a.site == b.site && a.overlaps(b.seenSensor) && !in.how.OneSensor {
				out = append(out, fmt.Sprintf("%s and %s are both given as the %s foot, and over the same time. If one is of the other foot, say so; otherwise their steps are counted together.", b.file, a.file, a.side))
			}
		}
	}
	return out
}

// worn lists the sensors on legs whose steps can be measured, of files with one sensor:
// of those with several, columns tell the sides.
func (in *intake) worn() []worn {
	var out []worn
	for _, f := range in.files {
		found := in.seen.of(f.Name)
		for _, sf := range found {
			if len(sf.Sensors) != 1 || !sf.Sensors[0].steps {
				continue
			}
			w := worn{sf.Name, sf.Sensors[0].Side, len(found) > 1, &sf.Sensors[0]}
			if f.Side != recording.SideUnknown {
				w.side = f.Side
			}
			out = append(out, w)
		}
	}
	return out
}

// overlaps tells whether two recordings share a clock and some seconds.
func (s *seenSensor) overlaps(o *seenSensor) bool {
	return s.clock == o.clock && s.clock != "" && math.Min(s.end, o.end)-math.Max(s.begin, o.begin) > leastCommon
}

// lonely says what is missing where only one foot was given, "" where nothing is. The
// caller holds in.mu.
func (in *intake) lonely() string {
	all := in.worn()
	several := func(f file) bool {
		return slices.ContainsFunc(in.seen.of(f.Name), func(sf *seenFile) bool { return len(sf.Sensors) > 1 })
	}
	if len(all) != 1 || all[0].side == recording.SideUnknown || slices.ContainsFunc(in.files, several) {
		return ""
	}
	return fmt.Sprintf("Only the %s foot is here. How the feet differ can be told only with the file of the %s foot: to give both, cancel below and choose the files of both together.", all[0].side, all[0].side.Other())
}

// sure asks for the word of whoever sent the files where the feet are not clear. The
// caller holds in.mu.
func (in *intake) sure(said string) error {
	if len(in.doubts()) > 0 && said != "yes" {
		return bad("The feet are not clear yet, so nothing was computed. Say at each file which foot it is of, or tick that it is right as it is given")
	}
	return nil
}
