package recovery_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/gait/step"
)

// plain is a course of n sessions a week apart without any noise; at gives the
// true difference in deg/s.
func plain(n int, at func(i int) float64) courseSettings {
	c := courseSettings{uninjured: 400}
	for i := range n {
		c.days = append(c.days, 7*i)
		c.lowering = append(c.lowering, at(i))
	}
	return c
}

func follow(c courseSettings) recovery.Result {
	return recovery.Follow(c.sessions(rand.New(rand.NewPCG(1, 1))), asymmetry.InjuredLeft)
}

func TestWordsOnPlainCourses(t *testing.T) {
	for _, c := range []struct {
		name   string
		course courseSettings
		want   recovery.Word
	}{
		{"falling far", plain(8, func(i int) float64 { return 300 - 25*float64(i) }), recovery.ControlImproving},
		{"rising far", plain(8, func(i int) float64 { return 100 + 25*float64(i) }), recovery.Worsening},
		{"level and high", plain(8, func(int) float64 { return 200 }), recovery.NoChangeShown},
		{"level and small", plain(8, func(int) float64 { return 10 }), recovery.SidesEquivalent},
		{"down, then up again", plain(9, func(i int) float64 { return 100 + 40*math.Abs(float64(i)-4) }), recovery.Worsening},
		{"three sessions only", plain(3, func(i int) float64 { return 300 - 90*float64(i) }), recovery.CannotTell},
		{"four sessions", plain(4, func(i int) float64 { return []float64{300, 300, 100, 100}[i] }), recovery.ControlImproving},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := follow(c.course)
			require.Equal(t, c.want, got.Word, got.Because)
			require.NotEmpty(t, got.Because)
			if got.Word == recovery.CannotTell {
				require.NotEmpty(t, got.Settle)
			}
		})
	}
}

// More sessions like those settle nothing where the lowering cannot be seen, as with a
// sensor on the shin.
func TestSessionsWithoutTheMeasureAreSaidAndNotAskedForAgain(t *testing.T) {
	all := plain(6, func(int) float64 { return 200 }).sessions(rand.New(rand.NewPCG(1, 1)))
	for _, s := range all[2:] {
		delete(s.Measures, step.Primary)
	}
	got := recovery.Follow(all, asymmetry.InjuredLeft)
	require.Equal(t, recovery.CannotTell, got.Word)
	require.Contains(t, got.Because, "like sessions on 2 days, and 4 are needed")
	require.Contains(t, got.Because, "in 4 sessions the lowering was not measured on both feet")
	require.Contains(t, got.Settle, "2 more sessions in which it is")
}

// A swap check tells the sensor from the foot; it is no new course and no new shoe.
func TestASwapCheckDoesNotEndTheCourse(t *testing.T) {
	all := plain(8, func(i int) float64 { return 300 - 25*float64(i) }).sessions(rand.New(rand.NewPCG(1, 1)))
	check := all[7]
	check.ID, check.Date, check.Order = "check", check.Date.Add(1), check.Order+1
	check.Conditions.SensorsSwapped = diary.Yes
	before := recovery.Follow(all, asymmetry.InjuredLeft)
	after := recovery.Follow(append(slices.Clone(all), check), asymmetry.InjuredLeft)
	require.Equal(t, recovery.ControlImproving, before.Word)
	require.Equal(t, before.Word, after.Word, after.Because)
	require.Len(t, after.Groups[0].Sessions, 8)
	require.Equal(t, []string{"sensors swapped"}, after.Groups[1].Differs)
	got, err := recovery.Compare(append(slices.Clone(all), check), "shoe", step.Primary)
	require.NoError(t, err)
	require.Len(t, got.Levels[0].Sessions, 8)
	require.Equal(t, "check", got.Apart[0].Session)

	for i := range all {
		all[i].Conditions.SensorsSwapped = diary.Yes
	}
	require.Equal(t, before.Word, recovery.Follow(all, asymmetry.InjuredLeft).Word, "where all are, none is a check")
}

// A pace of 5:57 a km is 2.80112… m/s.
func TestConditionsAreWrittenAsReadersReadThem(t *testing.T) {
	speed, drop := 1000.0/357, 8.0
	require.Equal(t, []string{"heel-to-toe drop 8 mm", "speed 2.801 m/s"}, recovery.Recorded(recovery.Session{Conditions: recovery.Conditions{SpeedMPS: &speed, DropMM: &drop}}))
}

// However bad the first day was: alone it never reads as improvement.
func TestAFirstBadDayAloneIsNoImprovement(t *testing.T) {
	for n := 1; n <= 12; n++ {
		for bad := 0.0; bad <= 800; bad += 10 {
			c := plain(n, func(int) float64 { return 150 })
			c.badFirst = bad
			require.NotEqual(t, recovery.ControlImproving, follow(c).Word, "%d sessions, first worse by %v deg/s", n, bad)
		}
	}
}

// Shoes that halve the rate, at any session, in any order: no improvement.
func TestAChangeOfShoesAloneIsNoImprovement(t *testing.T) {
	for n := 2; n <= 12; n++ {
		for change := 1; change < n; change++ {
			c := plain(n, func(i int) float64 {
				if i >= change {
					return 100
				}
				return 300
			})
			for i := range n {
				c.shoes = append(c.shoes, map[bool]string{false: "old", true: "new"}[i >= change])
			}
			got := follow(c)
			require.NotEqual(t, recovery.ControlImproving, got.Word)
			require.Len(t, got.Groups, 2)
			for i := range n { // shoes worn in turn
				c.shoes[i] = map[bool]string{false: "old", true: "new"}[i%2 == 0]
				c.lowering[i] = map[bool]float64{false: 300, true: 100}[i%2 == 0]
			}
			require.NotEqual(t, recovery.ControlImproving, follow(c).Word)
		}
	}
}

// Where shoes were not recorded, a change of them cannot be ruled out.
func TestShoesThatNobodyRecordedAreNoImprovement(t *testing.T) {
	c := plain(8, func(i int) float64 { return 300 - 25*float64(i) })
	c.shoes = make([]string, 8)
	got := follow(c)
	require.Equal(t, recovery.CannotTell, got.Word)
	require.Contains(t, got.Because, "shoe")
}

// A foot that only lands flatter, step by step or at once, has a rate that
// falls with the strike angle although control stays as it was.
func TestLandingFlatterAloneIsNeitherEquivalentNorImproving(t *testing.T) {
	const start, rate = 18.0, 600.0 // uninjured: 18°, 400 deg/s
	for n := 4; n <= 12; n++ {
		for end := 3.5; end < start; end += 0.5 {
			for _, sudden := range []bool{false, true} {
				c := plain(n, func(int) float64 { return 0 })
				for i := range n {
					x := float64(i) / float64(n-1)
					if sudden {
						x = math.Round(x)
					}
					angle := start + (end-start)*x
					c.strike = append(c.strike, angle)
					c.lowering[i] = rate*angle/start - 400
				}
				got := follow(c)
				require.NotEqual(t, recovery.SidesEquivalent, got.Word, "%d sessions to %v°", n, end)
				require.NotEqual(t, recovery.ControlImproving, got.Word, "%d sessions to %v°", n, end)
			}
		}
	}
}

// Landing flatter from the first session on is seen against the other foot.
func TestAFootThatAlwaysLandedFlatterIsNotEquivalent(t *testing.T) {
	c := plain(8, func(int) float64 { return 0 })
	for range 8 {
		c.strike = append(c.strike, 12) // same rate from two thirds of the angle
	}
	require.NotEqual(t, recovery.SidesEquivalent, follow(c).Word)
}

func TestEquivalenceNeedsBothSidesHeelsAndTwoSessions(t *testing.T) {
	sessions := func() []recovery.Session {
		return plain(8, func(int) float64 { return 5 }).sessions(rand.New(rand.NewPCG(1, 1)))
	}
	word := func(ss []recovery.Session) recovery.Word { return recovery.Follow(ss, asymmetry.InjuredLeft).Word }
	require.Equal(t, recovery.SidesEquivalent, word(sessions()))

	ss := sessions()
	ss[6].Measures[step.Primary] = measure(520*rateUnit, 400*rateUnit, 0)
	require.NotEqual(t, recovery.SidesEquivalent, word(ss), "one of the last two is outside the floor")

	ss = sessions()
	for _, s := range ss[6:] {
		s.Measures[step.HeelFirstKey] = measure(0.7, 0.7, 0.01)
	}
	require.NotEqual(t, recovery.SidesEquivalent, word(ss), "heel-first contact became rarer")

	ss = sessions()
	for _, s := range ss[6:] {
		s.Measures[step.Primary] = measure(500*rateUnit, 500*rateUnit, 0)
	}
	require.NotEqual(t, recovery.SidesEquivalent, word(ss), "the uninjured side became worse")

	ss = sessions()
	for _, s := range ss {
		delete(s.Measures, "strike_angle_deg")
	}
	require.NotEqual(t, recovery.SidesEquivalent, word(ss), "landing is not known")
}

func TestTheUninjuredSideGettingWorseIsNoImprovement(t *testing.T) {
	c := plain(8, func(i int) float64 { return 300 - 25*float64(i) })
	ss := c.sessions(rand.New(rand.NewPCG(1, 1)))
	for i, s := range ss {
		s.Measures[step.Primary] = measure(700*rateUnit, (400+25*float64(i))*rateUnit, 0)
	}
	got := recovery.Follow(ss, asymmetry.InjuredLeft)
	require.Equal(t, recovery.CannotTell, got.Word)
	require.Contains(t, got.Because, "uninjured side rose")
}

// A foot in pain is not called worse for what the other foot did.
func TestTheUninjuredSideFallingAloneIsNoWorsening(t *testing.T) {
	result := func(left, right func(i int) float64) recovery.Result {
		ss := plain(8, func(int) float64 { return 0 }).sessions(rand.New(rand.NewPCG(1, 1)))
		for i := range ss {
			ss[i].Measures[step.Primary] = measure(left(i)*rateUnit, right(i)*rateUnit, 5*rateUnit)
		}
		return recovery.Follow(ss, asymmetry.InjuredLeft)
	}
	level, up, down := func(int) float64 { return 500 }, func(i int) float64 { return 500 + 25*float64(i) }, func(i int) float64 { return 500 - 25*float64(i) }
	got := result(level, down)
	require.Equal(t, recovery.CannotTell, got.Word, got.Because)
	require.Contains(t, got.Because, "it was the uninjured right foot that changed: its peak lowering rate fell by 125 deg/s, while that of the injured left foot stayed as it was")
	require.NotEmpty(t, got.Settle)
	for name, got := range map[string]recovery.Result{"the injured side rose": result(up, level), "both changed": result(up, down)} {
		require.Equal(t, recovery.Worsening, got.Word, name)
		require.NotContains(t, got.Because, "uninjured", name)
	}
	// Up and down again by the uninjured side alone: the feet differ by less than at first.
	got = result(level, func(i int) float64 { return []float64{250, 280, 310, 340, 370, 400, 330, 290}[i] })
	require.Equal(t, recovery.CannotTell, got.Word, got.Because)
	require.Contains(t, got.Because, "than in its best stretch, but it was the uninjured right foot")
}

func TestBothSidesInjuredAreJudgedAgainstTheirOwnBaseline(t *testing.T) {
	both := func(left, right float64) recovery.Result {
		ss := plain(8, func(int) float64 { return 0 }).sessions(rand.New(rand.NewPCG(1, 1)))
		for i, s := range ss {
			s.Measures[step.Primary] = measure((600+left*float64(i))*rateUnit, (600+right*float64(i))*rateUnit, 0)
		}
		return recovery.Follow(ss, asymmetry.InjuredBoth)
	}
	require.Equal(t, recovery.ControlImproving, both(-30, -30).Word)
	require.Equal(t, recovery.ControlImproving, both(-30, 0).Word)
	require.Equal(t, recovery.Worsening, both(-30, 30).Word, "the more careful side decides")
	require.Equal(t, recovery.NoChangeShown, both(0, 0).Word)
	require.Len(t, both(0, 0).Primary, 2)
}

func TestUnknownSideAndNoSessionsCannotTell(t *testing.T) {
	got := recovery.Follow(nil, asymmetry.InjuredLeft)
	require.Equal(t, recovery.CannotTell, got.Word)
	require.NotEmpty(t, got.Settle)
	got = recovery.Follow(plain(8, func(int) float64 { return 0 }).sessions(rand.New(rand.NewPCG(1, 1))), asymmetry.InjuredUnknown)
	require.Equal(t, recovery.CannotTell, got.Word)
	require.Contains(t, got.Settle, "which side")
}

// Each condition, changed in the newest session, sets it apart.
func TestUnlikeSessionsAreNotPooled(t *testing.T) {
	f := func(x float64) *float64 { return &x }
	for name, change := range map[string]func(s *recovery.Session){
		"shoe":                 func(s *recovery.Session) { s.Conditions.Shoe = "other" },
		"heel-to-toe drop":     func(s *recovery.Session) { s.Conditions.DropMM = f(4) },
		"insole":               func(s *recovery.Session) { s.Conditions.Insole = "wedge" },
		"tape":                 func(s *recovery.Session) { s.Conditions.Tape = "ankle" },
		"surface":              func(s *recovery.Session) { s.Conditions.Surface = "track" },
		"slope":                func(s *recovery.Session) { s.Conditions.SlopePercent = f(3) },
		"direction":            func(s *recovery.Session) { s.Conditions.Direction = "anticlockwise" },
		"speed":                func(s *recovery.Session) { s.Conditions.SpeedMPS = f(4) },
		"treadmill":            func(s *recovery.Session) { s.Conditions.Treadmill = diary.Yes },
		"minutes into the run": func(s *recovery.Session) { s.Conditions.MinutesIntoRun = f(30) },
		"walk and run plan":    func(s *recovery.Session) { s.Conditions.Intervals = "5 x 3 min" },
		"sensor placement":     func(s *recovery.Session) { s.Conditions.Placement = "heel" },
		"step rate asked for":  func(s *recovery.Session) { s.Conditions.StepRateHint = f(180) },
		"method version":       func(s *recovery.Session) { s.Method = "2" },
		"gait":                 func(s *recovery.Session) { s.Gait = "walking" },
	} {
		ss := plain(6, func(int) float64 { return 100 }).sessions(rand.New(rand.NewPCG(1, 1)))
		change(&ss[5])
		groups, apart := recovery.Groups(ss)
		require.Len(t, groups, 2, name)
		require.Empty(t, apart)
		require.Equal(t, []string{name}, groups[1].Differs)
		require.Len(t, groups[0].Sessions, 1)
	}
	ss := plain(3, func(int) float64 { return 100 }).sessions(rand.New(rand.NewPCG(1, 1)))
	ss[1].UsedRight = 20
	groups, apart := recovery.Groups(ss)
	require.Len(t, groups[0].Sessions, 2)
	require.Contains(t, apart[0].Because, "5 more are needed")
}

// The order in which sessions are given does not matter, and two sessions of a
// day are one point.
func TestOrderAndRepeats(t *testing.T) {
	c := plain(6, func(i int) float64 { return 200 - 20*float64(i) })
	c.refits = map[int]bool{0: true, 3: true}
	c.refit = 10
	r := rand.New(rand.NewPCG(3, 3))
	ss := c.sessions(r)
	want := recovery.Follow(ss, asymmetry.InjuredLeft)
	require.Len(t, want.Primary[0].Points, 6)
	require.Contains(t, want.Primary[0].Noise.From, "2 repeats")
	for range 10 {
		r.Shuffle(len(ss), func(i, j int) { ss[i], ss[j] = ss[j], ss[i] })
		require.Equal(t, fmt.Sprint(want), fmt.Sprint(recovery.Follow(ss, asymmetry.InjuredLeft)))
	}
}

func TestMDCUsesStudent(t *testing.T) {
	// t(0.975, 7) = 2.364624 (Student's table); Weir's data give SEM 7.556927.
	n := recovery.Noise{SD: 7.556927, DF: 7}
	require.InDelta(t, 2.364624*math.Sqrt2*7.556927, n.MDC(), 1e-4)
	// With many degrees of freedom it is Weir's 1.96·√2·SEM = 20.946732.
	n.DF = 1e7
	require.InDelta(t, 20.946732, n.MDC(), 5e-4)
}

func TestSessionsSurviveJSON(t *testing.T) {
	s := plain(1, func(int) float64 { return 10 }).sessions(rand.New(rand.NewPCG(1, 1)))[0]
	text, err := json.Marshal(s)
	require.NoError(t, err)
	var back recovery.Session
	require.NoError(t, json.Unmarshal(text, &back))
	require.Equal(t, s, back)
	var v recovery.Value
	require.NoError(t, json.Unmarshal([]byte(`{"n":0,"center":null,"low":null,"high":null}`), &v))
	require.True(t, math.IsNaN(float64(v.Center)))
	text, err = json.Marshal(v)
	require.NoError(t, err)
	require.Contains(t, string(text), `"center":null`)
}

// A word from recordings of last season is not one about today.
func TestOldRecordingsAreSaidToBeOld(t *testing.T) {
	c := plain(6, func(int) float64 { return 100 })
	ss := c.sessions(rand.New(rand.NewPCG(1, 2)))
	last := slices.MaxFunc(ss, func(a, b recovery.Session) int { return a.Date.Since(b.Date) }).Date
	slices.Reverse(ss)
	for days, stale := range map[int]bool{0: false, recovery.StaleAfter: false, recovery.StaleAfter + 1: true, 300: true} {
		r := recovery.Follow(ss, asymmetry.InjuredLeft)
		before := len(r.Notes)
		r.AsOf(last.Add(days), ss)
		require.Equal(t, stale, r.LastDays > 0, "%d days", days)
		require.Equal(t, stale, len(r.Notes) > before, "%d days", days)
		if stale {
			require.Contains(t, r.Notes[before], fmt.Sprintf("%d days old (%s)", days, last))
		}
	}
	var none recovery.Result
	none.AsOf(last, nil)
	require.Empty(t, none.Notes)
}
