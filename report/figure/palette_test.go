package figure

import (
	"fmt"
	"math"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
)

// linear returns the linear sRGB values of a tone's fallback (IEC 61966-2-1).
func linear(t *testing.T, tn tone) [3]float64 {
	t.Helper()
	var v [3]int
	_, err := fmt.Sscanf(regexp.MustCompile(`#[0-9a-f]{6}`).FindString(paint[tn]), "#%02x%02x%02x", &v[0], &v[1], &v[2])
	require.NoError(t, err)
	var out [3]float64
	for i, c := range v {
		s := float64(c) / 255
		if s <= 0.04045 {
			out[i] = s / 12.92
		} else {
			out[i] = math.Pow((s+0.055)/1.055, 2.4)
		}
	}
	return out
}

type matrix [3][3]float64

func (m matrix) mul(v [3]float64) (out [3]float64) {
	for i := range m {
		for j := range v {
			out[i] += m[i][j] * v[j]
		}
	}
	return out
}

// Cone responses from linear RGB and back, and what is left of them without
// long- or middle-wave cones (Viénot, Brettel & Mollon 1999, Color Res. Appl.
// 24, 243–252; values from memory).
var (
	toLMS   = matrix{{17.8824, 43.5161, 4.11935}, {3.45565, 27.1554, 3.86714}, {0.0299566, 0.184309, 1.46709}}
	fromLMS = matrix{{0.0809444479, -0.130504409, 0.116721066}, {-0.0102485335, 0.0540193266, -0.113614708}, {-0.000365296938, -0.00412161469, 0.693511405}}
	protan  = matrix{{0, 2.02344, -2.52581}, {0, 1, 0}, {0, 0, 1}}
	deutan  = matrix{{1, 0, 0}, {0.494207, 0, 1.24827}, {0, 0, 1}}
	same    = matrix{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
)

// lab returns CIELAB for D65 (CIE 15).
func lab(rgb [3]float64) [3]float64 {
	xyz := matrix{{0.4124, 0.3576, 0.1805}, {0.2126, 0.7152, 0.0722}, {0.0193, 0.1192, 0.9505}}.mul(rgb)
	f := func(v float64) float64 {
		if v > 216.0/24389 {
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	x, y, z := f(xyz[0]/0.95047), f(xyz[1]), f(xyz[2]/1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

func TestSidesStayApartWithoutRedOrGreenCones(t *testing.T) {
	for name, blind := range map[string]matrix{"all cones": same, "no long-wave cones": protan, "no middle-wave cones": deutan} {
		see := func(tn tone) [3]float64 {
			rgb := fromLMS.mul(blind.mul(toLMS.mul(linear(t, tn))))
			for i := range rgb {
				rgb[i] = math.Min(1, math.Max(0, rgb[i]))
			}
			return lab(rgb)
		}
		a, b := see(left), see(right)
		distance := math.Sqrt(math.Pow(a[0]-b[0], 2) + math.Pow(a[1]-b[1], 2) + math.Pow(a[2]-b[2], 2))
		// About 2.3 is just noticeable (Mahy et al. 1994, from memory).
		require.Greater(t, distance, 40.0, name)
	}
}

// Text and lines on white paper: WCAG 2.2 asks 4.5 for text (1.4.3) and 3 for
// graphics (1.4.11).
func TestColoursContrastWithPaper(t *testing.T) {
	for tn, want := range map[tone]float64{ink: 4.5, quiet: 4.5, left: 3, right: 3} {
		v := linear(t, tn)
		luminance := 0.2126*v[0] + 0.7152*v[1] + 0.0722*v[2]
		require.Greater(t, 1.05/(luminance+0.05), want, paint[tn])
	}
}

func TestTicksAreRoundAndLabelled(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		want   []string
	}{
		{0, 100, []string{"0", "20", "40", "60", "80", "100"}},
		{-25, 100, []string{"0", "50", "100"}},
		{0.2412, 0.2588, []string{"0.245", "0.250", "0.255"}},
		{-3, 900, []string{"0", "200", "400", "600", "800"}},
		{9, 11, []string{"9.0", "9.5", "10.0", "10.5", "11.0"}},
	} {
		var got []string
		for _, k := range (ticks{}).Ticks(c.lo, c.hi) {
			got = append(got, k.Label)
		}
		require.Equal(t, c.want, got)
	}
}

func TestThinningKeepsPeaks(t *testing.T) {
	var x, v []float64
	for i := range 10000 {
		x, v = append(x, float64(i)), append(v, math.Sin(float64(i)/50))
	}
	v[6123], v[2] = 40, -40
	tt, vv := extremes(x, v, 400)
	require.LessOrEqual(t, len(tt), 400)
	require.Contains(t, vv, 40.0)
	require.Contains(t, vv, -40.0)
	require.IsIncreasing(t, tt)
}
