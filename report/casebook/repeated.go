package casebook

import (
	"context"
	"math"

	"setdown/gait/recovery"
	"setdown/gait/step"
	"setdown/report/trial"
)

// Repeated is a casebook as a source of repeated measurements: of each case the
// first two sessions in a row under like conditions and by one method, since what
// comes later may be change and not error. Their gait is the condition.
type Repeated struct{ Book *Book }

// Measurements calls yield with both sessions of each case that has two.
func (r Repeated) Measurements(ctx context.Context, yield func(trial.Measurement) error) error {
	cases, err := r.Book.Cases(ctx)
	if err != nil {
		return err
	}
	for _, c := range cases {
		sessions, err := r.Book.Sessions(ctx, c.ID)
		if err != nil {
			return err
		}
		first := firstLike(sessions)
		if first < 0 {
			continue
		}
		for i, occasion := range []string{"first", "second"} {
			for _, m := range measured(c.Name, occasion, sessions[first+i].Summary) {
				if err := yield(m); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// firstLike is the index of the first session whose next one is like it, or −1.
func firstLike(sessions []Session) int {
	for i := 1; i < len(sessions); i++ {
		a, b := sessions[i-1].Summary, sessions[i].Summary
		if len(a.Measures) > 0 && len(b.Measures) > 0 && a.Gait == b.Gait && a.Method == b.Method && len(recovery.Unlike(a, b)) == 0 {
			return i - 1
		}
	}
	return -1
}

// measured gives the sides of one session in the units of files.
func measured(subject, occasion string, s recovery.Session) []trial.Measurement {
	var out []trial.Measurement
	for _, side := range []struct {
		name string
		of   func(recovery.Measure) recovery.Value
	}{
		{"left", func(m recovery.Measure) recovery.Value { return m.Left }},
		{"right", func(m recovery.Measure) recovery.Value { return m.Right }},
		{trial.DifferenceSide, func(m recovery.Measure) recovery.Value { return m.Difference }},
	} {
		one := trial.Measurement{Subject: subject, Occasion: occasion, Condition: s.Gait, Side: side.name, Values: map[string]float64{}}
		for _, m := range step.Catalogue() {
			if v := float64(side.of(s.Measures[m.Key]).Center); !math.IsNaN(v) {
				one.Values[m.Key] = m.Unit.FromBase(v)
			}
		}
		out = append(out, one)
	}
	return out
}
