package step

import (
	"math"

	"setdown/signal/unit"
)

// Metric describes one measure of a step: what it is called, how it is shown,
// where its definition comes from and how far a side difference must reach to
// be called different. The catalogue is the only place that lists metrics.
type Metric struct {
	// Key is the column name in steps.csv and the key in session.json.
	Key string
	// Label is the heading that people read, without unit.
	Label string
	// Unit is the display unit; values inside the program are in base units.
	Unit unit.Unit
	// Digits is the number of decimals shown, in the display unit.
	Digits int
	// Definition says in one sentence what is measured.
	Definition string
	// Source names the paper or standard, or "own definition".
	Source string
	// Value reads the measure from a step, base units; NaN when not measured.
	Value func(*Step) float64
	// Share is true for measures that are a yes/no per step and are summarised
	// as a proportion.
	Share bool
	// Verdict is true where sides are compared with a verdict; false where the
	// measure is shown only.
	Verdict bool
	// NoVerdict says why there is no verdict.
	NoVerdict string
	// FloorAbsolute (base units) and FloorRelative (share of the sides' mean)
	// are the default floor of a side difference: a smaller difference is what
	// refitting the sensors or ordinary unevenness can make. The larger one of
	// the two that is not zero holds.
	FloorAbsolute, FloorRelative float64
	// FloorReason says where the floor comes from.
	FloorReason string
	// Lowering marks the measures that need a heel-first contact.
	Lowering bool
}

// FromTurn tells whether the measure comes from the turning between initial
// contact and mid-stance: the lowering and the way of landing.
func (m Metric) FromTurn() bool {
	return m.Lowering || m.Key == HeelFirstKey || m.Key == "strike_angle_deg"
}

// FromPeak tells whether the measure is a peak of the acceleration.
func (m Metric) FromPeak() bool {
	return m.Key == "heel_contact_peak_m_s2" || m.Key == "foot_flat_peak_m_s2"
}

// Primary is the key of the measure that makes the headline.
const Primary = "peak_lowering_rate_deg_s"

// HeelFirstKey is the key of the heel-first share.
const HeelFirstKey = "heel_first"

const deg = math.Pi / 180

// Catalogue returns all metrics in the order in which tables show them. The
// slice is new at each call.
func Catalogue() []Metric {
	return []Metric{
		{
			Key: HeelFirstKey, Label: "Heel-first share", Unit: unit.Percent, Digits: 0, Share: true,
			Definition: "share of steps that land with the toes up by more than 3° and then turn toe-down to flat",
			Source:     "own definition", Verdict: true, FloorAbsolute: 0.30,
			FloorReason: "default: what a strike angle 2° apart, as sides of uninjured runners are (PMID 37187155), makes of the share near 3° where steps scatter by 2.5°",
			Value:       func(s *Step) float64 { return s.HeelFirst.number() },
		}, {
			Key: Primary, Label: "Peak lowering rate", Unit: unit.DegreePerSecond, Digits: 0, Lowering: true,
			Definition: "largest toe-down pitch rate of the foot from initial contact until the rotation is arrested",
			Source:     "own definition; toe-down rotation between heel contact and foot-flat as in De Cock et al. 2005", Verdict: true, FloorRelative: 0.15,
			FloorReason: "default: sides of uninjured runners differ by 2–3° in foot angles (PMID 37187155), about 15 % of a usual strike angle, and the rate grows with that angle",
			Value:       func(s *Step) float64 { return s.PeakLoweringRate },
		}, {
			Key: "time_to_foot_flat_ms", Label: "Time to foot-flat", Unit: unit.Millisecond, Digits: 0, Lowering: true,
			Definition: "time from initial contact to foot-flat, the first moment at which foot pitch is within 1° of its mid-stance value",
			Source:     "own definition; lies between first forefoot touch and all-metatarsal contact of De Cock et al. 2005", Verdict: true, FloorAbsolute: 0.008, FloorRelative: 0.15,
			FloorReason: "default: 8 ms, about twice the event error at 200 Hz, and 15 % of the sides' mean as for the lowering rate",
			Value:       func(s *Step) float64 { return s.TimeToFootFlat },
		}, {
			Key: "foot_flat_rate_deg_s", Label: "Lowering rate at foot-flat", Unit: unit.DegreePerSecond, Digits: 0, Lowering: true,
			Definition: "toe-down pitch rate that is left at foot-flat",
			Source:     "own definition", Verdict: true, FloorAbsolute: 60 * deg, FloorRelative: 0.25,
			FloorReason: "default: 60 deg/s, twice the error of the rate at foot-flat at 200 Hz, and 25 % of the sides' mean because the rate changes fast there",
			Value:       func(s *Step) float64 { return s.FootFlatRate },
		}, {
			Key: "deceleration_fraction", Label: "Deceleration fraction", Unit: unit.One, Digits: 2, Lowering: true,
			Definition: "1 − (rate at foot-flat) / (peak lowering rate): 0 is a dropped forefoot, towards 1 it is set down",
			Source:     "own definition", Verdict: true, FloorAbsolute: 0.15,
			FloorReason: "default: follows from the floors of the two rates it is made of",
			Value:       func(s *Step) float64 { return s.DecelerationFraction },
		}, {
			Key: "strike_angle_deg", Label: "Strike angle", Unit: unit.Degree, Digits: 1,
			Definition: "foot pitch at initial contact against its own mid-stance value, toe up positive",
			Source:     "Altman & Davis 2012", Verdict: true, FloorAbsolute: 3 * deg,
			FloorReason: "default: 3°, the side difference of uninjured runners (63 runners, PMID 37187155)",
			Value:       func(s *Step) float64 { return s.StrikeAngle },
		}, {
			Key: "contact_time_s", Label: "Contact time", Unit: unit.Second, Digits: 3,
			Definition: "time from initial contact to toe-off of the same foot",
			Source:     "Falbriard et al. 2018", Verdict: true, FloorAbsolute: 0.010, FloorRelative: 0.05,
			FloorReason: "default: 10 ms, the bias range of foot-worn sensors (Falbriard et al. 2018), and 5 % of the sides' mean",
			Value:       func(s *Step) float64 { return s.ContactTime },
		}, {
			Key: "stride_time_s", Label: "Stride time", Unit: unit.Second, Digits: 3,
			Definition: "time from one initial contact to the next of the same foot",
			Source:     "common definition", NoVerdict: "both feet share one stride time",
			Value: func(s *Step) float64 { return s.StrideTime },
		}, {
			Key: "heel_contact_peak_m_s2", Label: "Heel-contact peak", Unit: unit.MetrePerSecond2, Digits: 1,
			Definition: "peak of the high-passed acceleration at initial contact",
			Source:     "own definition", NoVerdict: "depends on how the sensor is fastened",
			Value: func(s *Step) float64 { return s.HeelContactPeak },
		}, {
			Key: "foot_flat_peak_m_s2", Label: "Foot-flat peak", Unit: unit.MetrePerSecond2, Digits: 1,
			Definition: "peak of the high-passed acceleration at foot-flat",
			Source:     "own definition", NoVerdict: "depends on how the sensor is fastened",
			Value: func(s *Step) float64 { return s.FootFlatPeak },
		},
	}
}

// Find returns the metric with the key. It panics when there is none: keys
// come from the program, not from data.
func Find(key string) Metric {
	for _, m := range Catalogue() {
		if m.Key == key {
			return m
		}
	}
	panic("step: no metric " + key)
}

// number is 1 for True, 0 for False, NaN for Unknown.
func (t Truth) number() float64 {
	switch t {
	case True:
		return 1
	case False:
		return 0
	}
	return math.NaN()
}

// Floor returns the default floor of a side difference, base units, where mean
// is the mean of both sides' centres. NaN means that there is none.
func (m Metric) Floor(mean float64) float64 {
	if !m.Verdict {
		return math.NaN()
	}
	return math.Max(m.FloorAbsolute, m.FloorRelative*math.Abs(mean))
}
