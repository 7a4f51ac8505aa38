package recovery_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/asymmetry"
	"setdown/gait/recovery"
)

// The bounds of the simulated courses and the size of a clear change in
// minimal detectable changes. (Set by the project before it was built.)
const (
	clearChange   = 1.5
	clearDays     = 6
	minRight      = 0.90
	maxMissed     = 0.02
	maxFalse      = 0.05
	judgedCourses = 1000
)

// tally counts words by kind of course.
type tally map[string]map[recovery.Word]int

func (t tally) add(kind string, w recovery.Word) {
	if t[kind] == nil {
		t[kind] = map[recovery.Word]int{}
	}
	t[kind][w]++
}

func (t tally) total(kind string) int {
	n := 0
	for _, k := range t[kind] {
		n += k
	}
	return n
}

// kindOf says what a course truly is: "flat"; "worse" where the last day is a
// clear change above the best day before; "better" where it is a clear change
// below the first and no relapse; else "" (not clear).
func kindOf(s shape, c courseSettings) string {
	if s == flat {
		return "flat"
	}
	last := c.lowering[len(c.lowering)-1]
	best := slices.Min(c.lowering)
	switch clear := clearChange * c.mdc(); {
	case len(c.days) < clearDays:
		return ""
	case last-best >= clear:
		return "worse"
	case c.lowering[0]-last >= clear && last-best < 0.25*clear:
		return "better"
	}
	return ""
}

func judgeCourses(seed uint64, n int) tally {
	t := tally{}
	for i := range n {
		r := rand.New(rand.NewPCG(seed, uint64(i)))
		s := []shape{flat, rise, fall, relapse}[i%4]
		c := randomCourse(r, s)
		got := recovery.Follow(c.sessions(r), asymmetry.InjuredLeft)
		if kind := kindOf(s, c); kind != "" {
			t.add(kind, got.Word)
		}
	}
	return t
}

// Courses with known control gain over time. The words' strictness was set on
// seeds below 1000; this test judges on others. Cannot tell is counted apart.
func TestWordsOnSimulatedCourses(t *testing.T) {
	n := judgedCourses
	if os.Getenv("SETDOWN_LONG") != "" {
		n *= 20
	}
	seed := uint64(20001)
	if os.Getenv("SETDOWN_TUNE") != "" {
		seed = 7
	}
	got := judgeCourses(seed, n)
	for _, kind := range []string{"better", "worse", "flat"} {
		text := ""
		for w := recovery.CannotTell; w <= recovery.SidesEquivalent; w++ {
			text += fmt.Sprintf("  %s %.1f %%", w, 100*float64(got[kind][w])/float64(got.total(kind)))
		}
		t.Logf("%-6s %5d courses:%s", kind, got.total(kind), text)
	}
	share := func(kind string, ws ...recovery.Word) float64 {
		k := 0
		for _, w := range ws {
			k += got[kind][w]
		}
		return float64(k) / float64(got.total(kind))
	}
	decided := func(kind string) float64 { return 1 - share(kind, recovery.CannotTell) }
	require.GreaterOrEqual(t, share("better", recovery.ControlImproving, recovery.SidesEquivalent)/decided("better"), minRight)
	require.GreaterOrEqual(t, share("worse", recovery.Worsening)/decided("worse"), minRight)
	require.LessOrEqual(t, share("worse", recovery.ControlImproving, recovery.NoChangeShown, recovery.SidesEquivalent), maxMissed)
	require.LessOrEqual(t, share("flat", recovery.ControlImproving), maxFalse)
	require.LessOrEqual(t, share("flat", recovery.Worsening), maxFalse)
	// Cannot tell must not be a way out: most clear courses get their word.
	require.GreaterOrEqual(t, decided("better"), 0.8)
	require.GreaterOrEqual(t, decided("worse"), 0.8)
	require.GreaterOrEqual(t, decided("flat"), 0.4)
}
