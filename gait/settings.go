package gait

import (
	"fmt"

	"setdown/gait/asymmetry"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// Settings of Analyze. The zero value is ready to use.
type Settings struct {
	// Version of the tool, written into the result.
	Version string
	Injured asymmetry.Injured
	// OneSensor says that one sensor was moved from side to side and the tracks
	// are its recordings in the order in which they were made.
	OneSensor bool
	// Floors replaces default floors, see asymmetry.Settings.
	Floors map[string]float64
	// Seed of the resampling; the same seed gives the same bytes.
	Seed uint64
	// Curves is how many lowering curves a side may keep for the pictures; 0
	// keeps none.
	Curves int
	// Excerpt is how many seconds of raw signal are kept for the pictures; 0
	// keeps none.
	Excerpt float64
	// smoothedToo measures the lowering of smoothed recordings as well, to show what
	// smoothing does to it.
	smoothedToo bool
}

// The lowest sampling rates, Hz, at which things are measured, a twentieth below
// what inspect asks for, since clocks differ. Running lowering lasts about 20–60 ms
// (De Cock et al. 2005: 8–20 % of contact), which below lowestLoweringRate is fewer
// than three samples.
const (
	lowestContactRate  = 0.95 * recording.RateContact
	lowestLoweringRate = 0.95 * recording.RateLowering
	lowestPeakRate     = 0.95 * recording.RateGood
)

// limitsAt says what the rate allows.
func limitsAt(rate float64) step.Limits {
	withheld := func(what string, needs float64) string {
		return fmt.Sprintf("%s at least %.0f samples a second, the recording has %.0f", what, needs, rate)
	}
	l := step.Limits{Lowering: true}
	if rate < lowestPeakRate {
		l.NoPeaks = withheld("contact peaks withheld: they need", recording.RateGood)
	}
	if rate < lowestLoweringRate {
		l.WithholdLowering(withheld("lowering withheld: it needs", recording.RateLowering))
	}
	if rate < lowestContactRate {
		l.NoContact = withheld("contact time withheld: it needs", recording.RateContact)
	}
	return l
}
