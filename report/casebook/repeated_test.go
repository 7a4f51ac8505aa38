package casebook

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/report/trial"
)

func TestFirstTwoLikeSessionsOfEachCaseAreTheRepeatedOnes(t *testing.T) {
	b := newBook(t)
	wren, lark := newCase(t, b, "wren"), newCase(t, b, "lark")
	unlike := form(30)
	unlike.Conditions.Shoe = "blue"
	_, err := b.AddSession(t.Context(), wren.ID, unlike, sources(1, 2000), analysis("1"), now)
	require.NoError(t, err)
	for i, ago := range []int{20, 15, 10} {
		add(t, b, wren, uint64(2+i), ago)
	}
	add(t, b, lark, 9, 5) // one session alone repeats nothing
	var got []trial.Measurement
	require.NoError(t, Repeated{b}.Measurements(context.Background(), func(m trial.Measurement) error { got = append(got, m); return nil }))
	require.Len(t, got, 6)
	for i, m := range got {
		require.Equal(t, []string{"wren", []string{"first", "second"}[i/3], "running", []string{"left", "right", "difference"}[i%3]},
			[]string{m.Subject, m.Occasion, m.Condition, m.Side})
		// 8, 6 and 2 rad/s in deg/s: 1 rad is 180/π degrees (SI Brochure, table 8).
		require.InDelta(t, []float64{8, 6, 2}[i%3]*180/math.Pi, m.Values["peak_lowering_rate_deg_s"], 1e-9)
	}
}
