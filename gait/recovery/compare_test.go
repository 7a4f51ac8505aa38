package recovery_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/gait/step"
)

// The paired interval is Student's: on the mouse-survival data as if paired it
// must give what the formula gives; here against values of Weir's data A
// (Weir 2005): mean difference 2.75, SD of differences 10.687108, n 8, so the
// 95 % half-width is 2.364624·10.687108/√8 = 8.934646.
func TestPairedComparisonIsStudents(t *testing.T) {
	first := []float64{146, 148, 170, 90, 157, 156, 176, 205}
	second := []float64{140, 152, 152, 99, 145, 153, 167, 218}
	var ss []recovery.Session
	for i := range first {
		c := plain(1, func(int) float64 { return 0 })
		for rep, x := range []float64{first[i], second[i]} {
			c.shoes = []string{[]string{"a", "b"}[rep]}
			s := c.sessions(rand.New(rand.NewPCG(1, 1)))[0]
			s.ID, s.Date, s.Order = string(rune('a'+i))+c.shoes[0], firstDay.Add(i), float64(rep)
			s.Measures[step.Primary] = measure(x, 0, 0)
			ss = append(ss, s)
		}
	}
	got, err := recovery.Compare(ss, "shoe", step.Primary)
	require.NoError(t, err)
	require.Len(t, got.Contrasts, 1)
	c := got.Contrasts[0]
	require.True(t, c.Paired)
	require.Equal(t, 8, c.Left.N)
	require.InDelta(t, -2.75, float64(c.Left.Center), 1e-9) // b − a
	require.InDelta(t, 8.934646, float64(c.Left.High-c.Left.Center), 1e-5)
	require.Contains(t, c.Text, "no difference shown")
}

// A shoe brings its own drop: shoes were never compared where their drops were written down.
func TestShoesAreComparedWithTheirDrops(t *testing.T) {
	var ss []recovery.Session
	for i := range 6 {
		s := plain(1, func(int) float64 { return 0 }).sessions(rand.New(rand.NewPCG(1, 1)))[0]
		drop := []float64{8, 4}[i%2]
		s.ID, s.Date = string(rune('a'+i)), firstDay.Add(i)
		s.Conditions.Shoe, s.Conditions.DropMM = []string{"grey", "blue"}[i%2], &drop
		ss = append(ss, s)
	}
	got, err := recovery.Compare(ss, "shoe", step.Primary)
	require.NoError(t, err)
	require.Empty(t, got.Apart)
	require.Len(t, got.Levels, 2)
	got, err = recovery.Compare(ss, "surface", step.Primary)
	require.NoError(t, err)
	require.Len(t, got.Apart, 3, "anything else is compared in like shoes only")
	require.Contains(t, got.Apart[0].Because, "heel-to-toe drop")
}

// Welch's interval on the mouse-survival data (Efron & Tibshirani 1993): mean
// difference 30.634921, standard error 28.936067 (SciPy), degrees of freedom
// 9.654 by Welch's formula.
func TestUnpairedComparisonIsWelchs(t *testing.T) {
	treated := []float64{94, 197, 16, 38, 99, 141, 23}
	control := []float64{52, 104, 146, 10, 51, 30, 40, 27, 46}
	var ss []recovery.Session
	add := func(x float64, surface string) {
		s := plain(1, func(int) float64 { return 0 }).sessions(rand.New(rand.NewPCG(1, 1)))[0]
		s.ID, s.Date, s.Conditions.Surface = surface+string(rune('a'+len(ss))), firstDay.Add(len(ss)), surface
		s.Measures[step.Primary] = measure(x, 0, 0)
		ss = append(ss, s)
	}
	for _, x := range control {
		add(x, "road")
	}
	for _, x := range treated {
		add(x, "track")
	}
	got, err := recovery.Compare(ss, "surface", step.Primary)
	require.NoError(t, err)
	c := got.Contrasts[0]
	require.False(t, c.Paired)
	require.InDelta(t, 30.634921, float64(c.Left.Center), 1e-5)
	// t(0.975, 9.654) = 2.2390; 2.2390 · 28.936 = 64.79.
	require.InDelta(t, 64.79, float64(c.Left.High-c.Left.Center), 0.05)
}

// A recovery of 20 deg/s a day without any effect of the shoes: worn in turn the
// shoes show no difference, worn one after the other they cannot be told from time.
func TestShoesWornOneAfterTheOtherCannotBeToldFromTime(t *testing.T) {
	text := func(shoe func(i int) string) string {
		ss := plain(10, func(i int) float64 { return 0 }).sessions(rand.New(rand.NewPCG(1, 1)))
		for i := range ss {
			ss[i].Conditions.Shoe = shoe(i)
			ss[i].Measures[step.Primary] = measure(600-20*float64(i), 300, 0)
		}
		got, err := recovery.Compare(ss, "shoe", step.Primary)
		require.NoError(t, err)
		require.Len(t, got.Contrasts, 1)
		return got.Contrasts[0].Text
	}
	require.Contains(t, text(func(i int) string { return []string{"a", "b"}[i/5] }), "cannot tell: all days of one lie before all days of the other")
	require.Contains(t, text(func(i int) string { return []string{"a", "b"}[i%2] }), "no difference shown")
}

func TestADifferenceSaysWhatItIsOf(t *testing.T) {
	v := recovery.Value{N: 9, Center: -3, Low: -5, High: -1} // left − right
	require.Equal(t, "right − left (injured − uninjured)", recovery.DifferenceOf(asymmetry.InjuredRight))
	require.Equal(t, recovery.Value{N: 9, Center: 3, Low: 1, High: 5}, v.TurnedFor(asymmetry.InjuredRight))
	require.Equal(t, v, v.TurnedFor(asymmetry.InjuredLeft))
	require.Equal(t, "right − left", recovery.DifferenceOf(asymmetry.InjuredBoth))
	require.Equal(t, recovery.Value{N: 9, Center: 3, Low: 1, High: 5}, v.TurnedFor(asymmetry.InjuredBoth))
}

func TestComparingLeavesOutWhatDiffersOtherwise(t *testing.T) {
	ss := plain(6, func(int) float64 { return 100 }).sessions(rand.New(rand.NewPCG(1, 1)))
	for i := range ss {
		ss[i].Conditions.Shoe = []string{"a", "b"}[i%2]
	}
	ss[2].Conditions.Surface = "sand"
	got, err := recovery.Compare(ss, "shoe", step.Primary)
	require.NoError(t, err)
	require.Len(t, got.Apart, 1)
	require.Contains(t, got.Apart[0].Because, "surface")
	_, err = recovery.Compare(ss, "mood", step.Primary)
	require.ErrorContains(t, err, "step-rate")
}

// steps makes one step a second with a drift and an effect of label B.
func blockSteps(blocks []recovery.Block, drift, effect, noise float64, r *rand.Rand) []recovery.Timed {
	var out []recovery.Timed
	for _, b := range blocks {
		for at := b.Start; at < b.End; at++ {
			v := 400 + drift*at + noise*r.NormFloat64()
			if b.Label == "B" {
				v += effect
			}
			out = append(out, recovery.Timed{Time: at, Value: v})
		}
	}
	return out
}

func alternating(n int) []recovery.Block {
	var out []recovery.Block
	for i := range n {
		out = append(out, recovery.Block{Label: []string{"A", "B"}[i%2], Start: float64(60 * i), End: float64(60 * (i + 1))})
	}
	return out
}

// A drift through the run must not be taken for the condition, and an effect
// must be found beside it; the interval covers the truth about as often as it says.
func TestAlternatingBlocks(t *testing.T) {
	blocks := alternating(6)
	r := rand.New(rand.NewPCG(8, 8))
	exact, err := recovery.CompareBlocks(blockSteps(blocks, 0.2, -30, 0, r), blocks)
	require.NoError(t, err)
	require.InDelta(t, -30, float64(exact.Change.Center), 1e-9)
	covered, n := 0, 1000
	for range n {
		got, err := recovery.CompareBlocks(blockSteps(blocks, 0.2, -30, 25, r), blocks)
		require.NoError(t, err)
		if got.Change.Low <= -30 && got.Change.High >= -30 {
			covered++
		}
	}
	require.InDelta(t, 0.95, float64(covered)/float64(n), 0.02) // 3 standard errors of a share of 1000
}

func TestBlocksThatCannotBeCompared(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	for name, blocks := range map[string][]recovery.Block{
		"too few":     alternating(4),
		"one kind":    {{Label: "A", Start: 0, End: 60}, {Label: "A", Start: 60, End: 120}},
		"three kinds": append(alternating(5), recovery.Block{Label: "C", Start: 300, End: 360}),
		"too short":   {{Label: "A", Start: 0, End: 15}, {Label: "B", Start: 15, End: 30}, {Label: "A", Start: 30, End: 45}},
	} {
		_, err := recovery.CompareBlocks(blockSteps(blocks, 0, 0, 1, r), blocks)
		require.Error(t, err, name)
	}
}

func TestSwapCheckTellsTheSensorFromTheFoot(t *testing.T) {
	session := func(d float64, swapped diary.Answer) recovery.Session {
		s := plain(1, func(int) float64 { return d }).sessions(rand.New(rand.NewPCG(1, 1)))[0]
		s.Conditions.SensorsSwapped = swapped
		s.Measures[step.Primary] = measure((400+d)*rateUnit, 400*rateUnit, 2*rateUnit)
		return s
	}
	check := func(normal, swapped float64) recovery.SwapResult {
		got, err := recovery.SwapCheck(session(normal, diary.No), session(swapped, diary.Yes), step.Primary)
		require.NoError(t, err)
		return got
	}
	got := check(100, 98)
	require.Contains(t, got.Text, "stays with the foot")
	require.InDelta(t, 99, float64(got.Foot.Center)/rateUnit, 1e-9)
	require.InDelta(t, 1, float64(got.Sensor.Center)/rateUnit, 1e-9)
	// SE of one difference is 2·√2 deg/s, of the half sum 2: half-width 1.96·2.
	// Putting sensors on again: half the variance of 7 % of the mean level,
	// (500 + 400 + 498 + 400)/4 = 449.5 deg/s; the half sum of two such has SD
	// 0.07·449.5·√½/√2, and t(0.975, 6) = 2.446912 (any table of Student's t).
	require.InDelta(t, math.Hypot(1.96*2, 2.446912*0.07*449.5/2), float64(got.Foot.High-got.Foot.Center)/rateUnit, 1e-4)
	require.Contains(t, check(100, -98).Text, "goes with the sensor")
	require.Contains(t, check(100, 20).Text, "part of the difference")
	require.Contains(t, check(1, 0).Text, "no difference")
	require.Contains(t, check(100, 60).Text, "it is not the sensor's", "what a fit can make is not laid on the sensor")
	late := session(1, diary.Yes)
	late.Date = late.Date.Add(1)
	_, err := recovery.SwapCheck(session(1, diary.No), late, step.Primary)
	require.ErrorContains(t, err, "one day")
	groups, _ := recovery.Groups([]recovery.Session{session(1, diary.No), session(1, diary.Yes)})
	require.Len(t, groups, 2, "a swapped session is never pooled")
	require.False(t, math.IsNaN(float64(got.Foot.Low)))
}
