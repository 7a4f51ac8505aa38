package recovery

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"setdown/gait/agreement"
	"setdown/gait/diary"
	"setdown/gait/estimate"
)

// Noise is how much a like session differs from another without any change of
// control.
type Noise struct {
	// SD is the standard deviation between like sessions, base units, with DF
	// degrees of freedom.
	SD, DF float64
	// From says in words what it was made from.
	From string
}

// MDC is the minimal detectable change between two single sessions,
//
//	MDC = t(0.975, DF) · √2 · SD,
//
// as Weir (2005, J Strength Cond Res 19:231–240) with Student's t in place of
// 1.96, because SD is an estimate. A word compares medians of several days, which
// scatter less, so that it can tell a smaller change of these.
func (n Noise) MDC() float64 { return n.quantile(0.975) * math.Sqrt2 * n.SD }

func (n Noise) quantile(p float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n.DF}.Quantile(p)
}

// DefaultSD is the standard deviation between like sessions that is assumed
// before there is anything to measure it by, as a share of the sides' mean:
// 7 %, so that the minimal detectable change is about 20 % (an assumption; no
// source was found for the lowering rate between days). DefaultDF is how many
// degrees of freedom it weighs.
const (
	DefaultSD = 0.07
	DefaultDF = 6
)

// refitShare is the least share of the between-day variance that is taken to
// come from refitting; repeats of one day show that part only, so they can
// raise the noise but not lower it below the default's share.
const refitShare = 0.5

// point is one day of like sessions.
type point struct {
	date diary.Date
	day  float64 // days since the first point
	y    float64
	n    int // sessions on that day
}

// repeats returns, for each day with several sessions whose sensors were put on
// again, their values.
func repeats(g Group, of func(Session) Value) []agreement.Refitted {
	var out []agreement.Refitted
	for i := 0; i < len(g.Sessions); {
		var set agreement.Refitted
		j := i
		for ; j < len(g.Sessions) && g.Sessions[j].Date == g.Sessions[i].Date; j++ {
			again := j == i || g.Sessions[j].Conditions.Refitted == diary.Yes
			if v := of(g.Sessions[j]); v.known() && again {
				set = append(set, float64(v.Center))
			}
		}
		if len(set) > 1 {
			out = append(out, set)
		}
		i = j
	}
	return out
}

// noiseOf pools what is known about the noise: the default, the scatter of the
// points round their course, and repeats with the sensors put on again.
//
// With prior variance s₀² on ν₀ degrees of freedom and the scatter's sum of
// squares Q on ν, the pooled variance is (ν₀ s₀² + Q)/(ν₀ + ν).
func noiseOf(g Group, points []point, of func(Session) Value, level float64) Noise {
	prior := DefaultSD * level
	df := float64(DefaultDF)
	from := fmt.Sprintf("an assumed %.0f %% of the sides' mean", 100*DefaultSD)
	if found, err := agreement.Detect(estimate.Config{}, repeats(g, of)...); err == nil {
		refit, n := found.SE.Center*found.SE.Center, float64(found.Freedom)
		// Repeats replace the refitting part of the default.
		v := (1-refitShare)*prior*prior + (n*refit+df*refitShare*prior*prior)/(n+df)
		prior = math.Sqrt(v)
		df += n
		from += fmt.Sprintf(", %.0f repeats with the sensors put on again", n)
	}
	q, nu := scatter(points)
	if nu > 0 {
		from += fmt.Sprintf(", and the scatter of %d days round their course", len(points))
	}
	return Noise{SD: math.Sqrt((df*prior*prior + q) / (df + nu)), DF: df + nu, From: from}
}

// scatter returns the sum of squares of the points round the best of three
// plain courses (a line; a line that bends once), and its degrees of freedom.
func scatter(ps []point) (q, df float64) {
	if len(ps) < 4 {
		return 0, 0
	}
	best := bentFit(ps, -1)
	df = float64(len(ps) - 2)
	if len(ps) >= 6 {
		for k := 2; k < len(ps)-2; k++ {
			if r := bentFit(ps, k) * df / float64(len(ps)-4); r < best {
				best = r
			}
		}
	}
	return best, df
}

// bentFit returns the residual sum of squares of least squares with a constant,
// a slope, and, for bend >= 0, a change of slope at that point.
func bentFit(ps []point, bend int) float64 {
	cols := [][]float64{make([]float64, len(ps)), make([]float64, len(ps))}
	if bend >= 0 {
		cols = append(cols, make([]float64, len(ps)))
	}
	y := make([]float64, len(ps))
	for i, p := range ps {
		cols[0][i], cols[1][i], y[i] = 1, p.day, p.y
		if bend >= 0 {
			cols[2][i] = math.Max(0, p.day-ps[bend].day)
		}
	}
	// Gram–Schmidt: take each column, made orthogonal to those before, off y.
	for c := range cols {
		for b := range c {
			project(cols[c], cols[b])
		}
		project(y, cols[c])
	}
	q := 0.0
	for _, v := range y {
		q += v * v
	}
	return q
}

// project takes the part along u off v. A u of zero length does nothing.
func project(v, u []float64) {
	uu, uv := 0.0, 0.0
	for i := range u {
		uu += u[i] * u[i]
		uv += u[i] * v[i]
	}
	if uu <= 1e-12 {
		return
	}
	for i := range v {
		v[i] -= uv / uu * u[i]
	}
}
