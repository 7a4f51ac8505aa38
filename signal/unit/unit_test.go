package unit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestUnitsConvertAsTheHandbookSays(t *testing.T) {
	// BIPM, SI Brochure, 9th ed. (2019), table 8: 1° = π/180 rad; 3rd CGPM (1901):
	// g_n = 9.80665 m/s²; 1 km/h = 1/3.6 m/s.
	require.Equal(t, 9.80665, G.ToBase(1))
	require.InDelta(t, 9.80665, MilliG.ToBase(1000), 1e-12)
	require.InDelta(t, math.Pi, DegreePerSecond.ToBase(180), 1e-15)
	require.InDelta(t, 10.0, KilometrePerHour.ToBase(36), 1e-12)
	require.InDelta(t, 180, Degree.FromBase(math.Pi), 1e-12)
	// 1 ft = 0.3048 m (1959, exact): gravity is 32.174 ft/s²; a turn a minute is 6 deg/s.
	require.InDelta(t, 32.174, FootPerSecond2.FromBase(StandardGravity), 1e-4)
	require.InDelta(t, 6, DegreePerSecond.FromBase(TurnPerMinute.ToBase(1)), 1e-12)
}

func TestSpellingsOfUnits(t *testing.T) {
	for text, want := range map[string]Unit{
		"[m/s²]": MetrePerSecond2, "(g)": G, "deg / s": DegreePerSecond, "°/s": DegreePerSecond, "dps": DegreePerSecond, "rad.s-1": RadianPerSecond,
		"µs": Microsecond, "MS": Millisecond, "m/s^2": MetrePerSecond2, "mg": MilliG, "km/h": KilometrePerHour, "secondes": Second,
		"Degree/s": DegreePerSecond, "degrees per second": DegreePerSecond, "radians per second": RadianPerSecond, "meters per second squared": MetrePerSecond2, "m.s^-2": MetrePerSecond2, "deg.s^-1": DegreePerSecond,
	} {
		u, ok := Parse(text)
		require.True(t, ok, text)
		require.Equal(t, want, u, text)
	}
	_, ok := Parse("furlong")
	require.False(t, ok)
}

func TestEveryAliasIsUsable(t *testing.T) {
	for name, u := range aliases {
		got, ok := Parse(name)
		require.True(t, ok, name)
		require.Equal(t, u, got, name)
		require.NotZero(t, u.Factor, name)
	}
}
