package recording

import (
	"fmt"
	"math"

	"setdown/signal/unit"
)

// uses says what kinds of measures a track can give.
func uses(t *Track) []Use {
	limb := t.Site == Foot || t.Site == Shin || t.Site == SiteUnknown
	out := []Use{
		{What: "step rate", NeedsRate: RateCadence},
		{What: "contact times", NeedsRate: RateContact},
		{What: "lowering", NeedsRate: RateLowering},
		{What: "contact peaks", NeedsRate: RateGood},
	}
	for i := range out {
		u := &out[i]
		switch {
		case t.Rate < u.NeedsRate:
			u.Because = fmt.Sprintf("sampled at %.4g Hz; needs %.0f Hz", t.Rate, u.NeedsRate)
		case i == 0 && t.AccAxes == 0 && !t.HasGyr:
			u.Because = "no motion in it"
		case i > 0 && !limb:
			u.Because = "needs a sensor on the foot" + map[bool]string{true: " or shin"}[i == 1]
		case i == 2 && t.Site == Shin:
			u.Because = "needs a sensor on the foot"
		case i > 0 && !t.HasAcc:
			u.Because = "needs all three axes of an accelerometer"
		case (i == 1 || i == 2) && !t.HasGyr:
			u.Because = "needs a gyroscope"
		default:
			u.Possible = true
			if i == 2 && t.Rate < 0.95*RateGood {
				u.Because = fmt.Sprintf("in walking; running needs %d Hz", RateGood)
			}
		}
	}
	return out
}

// Rules of docs/recording.md, by their headings.
const (
	ruleRate  = "Rate"
	ruleRange = "Range"
	ruleStand = "Stand still first"
	ruleSteps = "Enough steps"
)

// Limits for advice: 25 steps a side take 25 strides of about 0.7–1.1 s.
const (
	standSeconds  = 2
	enoughSeconds = 30
)

// advice points to the rules that a recording broke.
func advice(v *TrackView) []Advice {
	var out []Advice
	t := v.Track
	add := func(rule, format string, args ...any) { out = append(out, Advice{rule, fmt.Sprintf(format, args...)}) }
	if t.Rate < 0.95*RateGood {
		add(ruleRate, "sampled at %.4g Hz; choose %d Hz or more", t.Rate, RateGood)
	}
	if v.VoidAcc > 0 && t.AccRange > 0 {
		add(ruleRange, "the accelerometer clips at %.3g g; %s", t.AccRange/unit.StandardGravity, wider(t.AccRange/unit.StandardGravity, "g", 16))
	}
	if v.VoidGyr > 0 && t.GyrRange > 0 {
		add(ruleRange, "the gyroscope clips at %.4g deg/s; %s", t.GyrRange*180/math.Pi, wider(t.GyrRange*180/math.Pi, "deg/s", 1000, 2000))
	}
	if v.Err == nil && len(v.Stretches) > 0 {
		if s := v.Stretches[0]; s.Moving || s.End-s.Begin < standSeconds {
			add(ruleStand, "it moves from the start; stand still for a few seconds first")
		}
		if m := v.movingSeconds(); m < enoughSeconds {
			add(ruleSteps, "it moves for %.0f s; 25 steps a side need about %d s or more", m, enoughSeconds)
		}
	}
	return out
}

// wider advises the first of the ranges to choose that is beyond one that clips;
// beyond all of them only a sensor with a wider one helps.
func wider(clips float64, symbol string, choose ...float64) string {
	for _, c := range choose {
		if clips < 0.95*c {
			return fmt.Sprintf("choose %g %s or more", c, symbol)
		}
	}
	return fmt.Sprintf("choose a range above %.4g %s if the sensor has one, or fasten it where it is hit less hard, over the laces", clips, symbol)
}

// movingSeconds adds up the stretches with movement.
func (v *TrackView) movingSeconds() float64 {
	sum := 0.0
	for _, s := range v.Stretches {
		if s.Moving {
			sum += s.End - s.Begin
		}
	}
	return sum
}
