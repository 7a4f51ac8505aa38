package filter

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// scipyFolder holds the reference values computed with SciPy 1.10.1 and NumPy
// 1.24.2, and the script that computes them.
var scipyFolder = filepath.Join("..", "..", "testdata", "scipy")

// reference reads the values of a family of reference values into values.
func reference(t testing.TB, family string, values any) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(scipyFolder, family+".json"))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &struct{ Values any }{values}))
}

// refDesign is one filter of the families butterworth, zero_phase, dual_pass.
type refDesign struct {
	Order    int
	Kind     string
	CutoffHz float64   `json:"cutoff_hz"`
	RateHz   float64   `json:"rate_hz"`
	B, A     []float64 // polynomials
	GainAt   []float64 `json:"gain_at_hz"`
	Gain     []float64
	Y        []float64
	OnePass  float64 `json:"one_pass_hz"`
}

func (d refDesign) String() string {
	return fmt.Sprintf("%s order %d at %g of %g Hz", d.Kind, d.Order, d.CutoffHz, d.RateHz)
}

func (d refDesign) sos(t testing.TB) SOS {
	design := map[string]func(int, float64, float64) (SOS, error){"lowpass": LowPass, "highpass": HighPass}[d.Kind]
	s, err := design(d.Order, d.CutoffHz, d.RateHz)
	require.NoError(t, err)
	return s
}

// polynomials multiplies the sections out.
func polynomials(s SOS, order int) (b, a []float64) {
	b, a = []float64{1}, []float64{1}
	for _, c := range s {
		b = product(b, []float64{c.B0, c.B1, c.B2})
		a = product(a, []float64{1, c.A1, c.A2})
	}
	return b[:order+1], a[:order+1]
}

func product(p, q []float64) []float64 {
	r := make([]float64, len(p)+len(q)-1)
	for i, v := range p {
		for j, w := range q {
			r[i+j] += v * w
		}
	}
	return r
}

func TestButterworthAgainstSciPy(t *testing.T) {
	var ref struct{ Designs []refDesign }
	reference(t, "butterworth", &ref)
	require.Len(t, ref.Designs, 108)
	for _, d := range ref.Designs {
		t.Run(d.String(), func(t *testing.T) {
			s := d.sos(t)
			require.Equal(t, d.Order, s.Order())
			b, a := polynomials(s, d.Order)
			for i := range b {
				// SciPy expands the polynomials from poles with rounding of its own.
				require.InEpsilon(t, d.B[i], b[i], 1e-9)
				require.InDelta(t, d.A[i], a[i], 1e-12*math.Exp2(float64(d.Order)))
			}
			// At the constant end 1 + a1 + a2 cancels to about (2π fc/fs)²: the
			// rounding of the coefficients, 1e-16, is divided by that.
			tol := 1e-12 + 1e-15/math.Pow(d.CutoffHz/d.RateHz, 2)
			for i, f := range d.GainAt {
				require.InDelta(t, d.Gain[i], s.Gain(f, d.RateHz), tol, "gain at %g Hz", f)
			}
		})
	}
}

func TestZeroPhaseAgainstSciPy(t *testing.T) {
	var ref struct {
		Squares []float64
		X       []float64
		Every   int
		Designs []refDesign
	}
	reference(t, "zero_phase", &ref)
	require.Len(t, ref.Designs, 108)
	squares := make([]float64, 16)
	for i := range squares {
		squares[i] = float64(i * i)
	}
	y, err := ZeroPhase(nil, winter(t), squares)
	require.NoError(t, err)
	require.InDeltaSlice(t, ref.Squares, y, 1e-10)
	for _, d := range ref.Designs {
		t.Run(d.String(), func(t *testing.T) {
			y, err := ZeroPhase(nil, d.sos(t), ref.X)
			require.NoError(t, err)
			z, err := ZeroPhaseSpan(nil, d.sos(t), ref.X)
			require.NoError(t, err)
			// The 0.1 Hz filters amplify rounding by the square of 1/(1 − pole).
			tol := 1e-10
			if d.CutoffHz/d.RateHz < 1e-3 {
				tol = 1e-6
			}
			for i, want := range d.Y {
				require.InDelta(t, want, y[i*ref.Every], tol)
				require.InDelta(t, want, z[0][i*ref.Every], tol)
			}
		})
	}
}

func TestDualPassCutoffAgainstSciPy(t *testing.T) {
	var ref struct{ Designs []refDesign }
	reference(t, "dual_pass", &ref)
	for _, d := range ref.Designs {
		f, err := DualPassCutoff(d.Order, d.CutoffHz, d.RateHz)
		require.NoError(t, err)
		require.InDelta(t, d.OnePass, f, 1e-9, d)
	}
}

func TestResidualAnalysisAgainstSciPy(t *testing.T) {
	var ref struct {
		X         []float64
		Cutoffs   []float64 `json:"cutoffs_hz"`
		Residual  []float64
		Intercept float64
		Slope     float64
		Chosen    float64 `json:"chosen_hz"`
	}
	reference(t, "residual", &ref)
	r, err := Analyze(ref.X, ref.Cutoffs, 12, func(f float64) (SOS, error) { return LowPass(2, f, 100) })
	require.NoError(t, err)
	require.InDeltaSlice(t, ref.Residual, r.Removed, 1e-11)
	require.InDelta(t, ref.Intercept, r.Intercept, 1e-11)
	require.InDelta(t, ref.Slope, r.Slope, 1e-11)
	require.InDelta(t, ref.Chosen, r.Chosen, 1e-9)
}

func TestSmoothingAgainstSciPy(t *testing.T) {
	var ref struct {
		Weights []struct {
			Window, Degree, Derivative int
			Weights                    []float64
		}
		X          []float64
		Smooth     []float64 `json:"smooth_11_3"`
		Derivative []float64 `json:"derivative_11_3_200hz"`
		Detrended  []float64
	}
	reference(t, "smoothing", &ref)
	require.Len(t, ref.Weights, 8)
	for _, c := range ref.Weights {
		// SciPy solves with unscaled powers, up to 15⁵.
		require.InDeltaSlice(t, c.Weights, SavitzkyGolay(c.Window, c.Degree, c.Derivative), 1e-12)
	}
	y, err := Smooth(nil, ref.X, 11, 3, 0, 200)
	require.NoError(t, err)
	require.InDeltaSlice(t, ref.Smooth, y, 1e-11)
	y, err = Smooth(nil, ref.X, 11, 3, 1, 200)
	require.NoError(t, err)
	require.InDeltaSlice(t, ref.Derivative, y, 1e-8)
	require.InDeltaSlice(t, ref.Detrended, Detrend(nil, []float64{1, 2, 4, 7, 11, 16}), 1e-13)
}

func TestCubicAgainstSciPy(t *testing.T) {
	var ref struct{ X, Positions, Cubic []float64 }
	reference(t, "between_samples", &ref)
	for i, p := range ref.Positions {
		require.InDelta(t, ref.Cubic[i], Cubic(ref.X, p), 1e-12, "position %g", p)
	}
}

// python returns a Python with SciPy, or "".
func python() string {
	for _, name := range []string{"/usr/bin/python3", "python3"} {
		if exec.Command(name, "-c", "import scipy").Run() == nil {
			return name
		}
	}
	return ""
}

// The committed reference values are what the script gives today. Other
// versions of SciPy and NumPy may differ in the last digits, not more.
func TestReferenceValuesAreLive(t *testing.T) {
	name := python()
	if name == "" {
		require.NotEqual(t, "required", os.Getenv("SETDOWN_SCIPY"), "no Python with SciPy: apt-get install python3-scipy")
		t.Skip("no Python with SciPy: the committed reference values are not recomputed")
	}
	fresh := t.TempDir()
	out, err := exec.CommandContext(t.Context(), name, filepath.Join(scipyFolder, "regenerate.py"), "--out", fresh).CombinedOutput()
	require.NoError(t, err, string(out))
	committed, err := filepath.Glob(filepath.Join(scipyFolder, "*.json"))
	require.NoError(t, err)
	made, err := filepath.Glob(filepath.Join(fresh, "*.json"))
	require.NoError(t, err)
	require.NotEmpty(t, made)
	require.Len(t, made, len(committed), "families and committed files differ")
	for _, path := range committed {
		family := filepath.Base(path)
		sameTree(t, family, readTree(t, path)["values"], readTree(t, filepath.Join(fresh, family))["values"])
	}
}

func readTree(t *testing.T, path string) map[string]any {
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var tree map[string]any
	require.NoError(t, json.Unmarshal(text, &tree))
	require.Contains(t, tree, "values")
	return tree
}

// sameTree compares two decoded JSON values, numbers to 1e-9 relative with a
// floor of 1e-9 absolute for sums that cancel.
func sameTree(t *testing.T, at string, want, got any) {
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		require.True(t, ok && len(g) == len(w), at)
		for key := range w {
			require.Contains(t, g, key, at)
			sameTree(t, at+"."+key, w[key], g[key])
		}
	case []any:
		g, ok := got.([]any)
		require.True(t, ok && len(g) == len(w), at)
		for i := range w {
			sameTree(t, fmt.Sprintf("%s[%d]", at, i), w[i], g[i])
		}
	case float64:
		require.InDelta(t, w, got, 1e-9*max(1, math.Abs(w)), at)
	default:
		require.Equal(t, want, got, at)
	}
}
