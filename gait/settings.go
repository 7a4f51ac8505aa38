package gait

import (
	"fmt"

	"setdown/gait/asymmetry"
	"setdown/gait/step"
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
}

// lowestLoweringRate is the lowest sampling rate, Hz, at which the lowering is
// measured. Running lowering lasts about 20–60 ms (De Cock et al. 2005: 8–20 %
// of contact), which below this is fewer than three samples.
const lowestLoweringRate = 95

// limitsAt says what the rate allows.
func limitsAt(rate float64) step.Limits {
	if rate >= lowestLoweringRate {
		return step.Limits{Lowering: true}
	}
	return step.Limits{Why: fmt.Sprintf("lowering withheld: it needs at least 100 samples a second, the recording has %.0f", rate)}
}
