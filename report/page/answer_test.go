package page_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/estimate"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/report/page"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// setMain changes the comparison of the main measure.
func setMain(r *gait.Result, change func(*asymmetry.Comparison)) {
	for i := range r.Asymmetry.Comparisons {
		if r.Asymmetry.Comparisons[i].Key == step.Primary {
			change(&r.Asymmetry.Comparisons[i])
		}
	}
}

// setMeasure replaces a measure of a side.
func setMeasure(s *session.Side, key string, e estimate.Estimate) {
	for i := range s.Measures {
		if s.Measures[i].Key == key {
			s.Measures[i].Estimate = e
		}
	}
}

// unmeasured takes the lowering from a side; heelFirst is its heel-first share.
func unmeasured(s *session.Side, heelFirst float64) {
	for _, m := range step.Catalogue() {
		if m.Lowering {
			setMeasure(s, m.Key, estimate.None(0))
		}
	}
	e := estimate.None(0)
	if heelFirst >= 0 {
		e = estimate.Estimate{N: 200, Center: heelFirst, Low: heelFirst, High: heelFirst}
	}
	setMeasure(s, step.HeelFirstKey, e)
}

func TestAnswer(t *testing.T) {
	const (
		different = asymmetry.Different
		alike     = asymmetry.Alike
		unsure    = asymmetry.CannotTell
	)
	const limit = "which is more than refitting the sensors or ordinary unevenness would explain."
	for _, c := range []struct {
		name string
		made made
		want string
	}{
		{"different, injured right faster", made{n: 200, left: 305, right: 412, injured: asymmetry.InjuredRight, verdict: different},
			"Your injured right foot was put down faster than the left: 412 against 305 degrees a second, " + limit},
		{"different, injured left faster", made{n: 200, left: 400, right: 300, injured: asymmetry.InjuredLeft, verdict: different},
			"Your injured left foot was put down faster than the right: 400 against 300 degrees a second, " + limit},
		{"different, injured slower", made{n: 200, left: 400, right: 300, injured: asymmetry.InjuredRight, verdict: different},
			"Your injured right foot was put down more slowly than the left: 300 against 400 degrees a second, " + limit},
		{"different, unknown", made{n: 200, left: 400, right: 300, verdict: different},
			"Your left foot was put down faster than the right: 400 against 300 degrees a second, " + limit},
		{"different, both injured", made{n: 200, left: 305, right: 412, injured: asymmetry.InjuredBoth, verdict: different},
			"Your right foot was put down faster than the left: 412 against 305 degrees a second, " + limit},
		{"alike, unknown", made{n: 200, left: 305, right: 300, verdict: alike},
			"The two feet came down alike: 300 degrees a second on the right and 305 on the left."},
		{"alike, injured left", made{n: 200, left: 305, right: 300, injured: asymmetry.InjuredLeft, verdict: alike},
			"Your injured left foot came down like the other: 305 degrees a second on the left and 300 on the right."},
		{"alike, both injured", made{n: 200, left: 305, right: 300, injured: asymmetry.InjuredBoth, verdict: alike},
			"The two feet came down alike, 300 degrees a second on the right and 305 on the left; as both are injured, that does not say how well."},
		{"too few steps on both sides", made{n: 18, left: 305, right: 412, verdict: unsure},
			"Cannot tell yet: only 18 usable steps on the left and 18 on the right; record at least 25 a side (about 5 s more)."},
		{"too few steps on one side", made{n: 200, left: 305, right: 412, verdict: unsure, change: func(r *gait.Result) {
			setMeasure(r.Session.Left, step.Primary, estimate.Estimate{N: 10, Center: 5, Low: 4, High: 6})
		}}, "Cannot tell yet: only 10 usable steps on the left; record at least 25 a side (about 4 min more)."},
		{"one step", made{n: 1, left: 305, right: 412, verdict: unsure},
			"Cannot tell yet: only 1 usable step on the left and 1 on the right; record at least 25 a side."},
		{"interval across the limit", made{n: 200, left: 305, right: 350, injured: asymmetry.InjuredRight, verdict: unsure, change: func(r *gait.Result) {
			setMain(r, func(c *asymmetry.Comparison) {
				c.Difference.High, c.Because = 2*c.Floor, "the interval reaches across the limit: about 115 steps would settle it"
			})
		}}, "Cannot tell yet: your injured right foot came down at 350 and the left at 305 degrees a second, too close to call."},
		{"not comparable for another reason", made{n: 200, left: 305, right: 600, verdict: unsure, change: func(r *gait.Result) {
			setMain(r, func(c *asymmetry.Comparison) { c.Because = "the sides were recorded one after the other" })
		}}, "Cannot tell: the sides were recorded one after the other."},
		{"not at once, and too close to call besides", made{n: 200, left: 305, right: 350, verdict: unsure, change: func(r *gait.Result) {
			r.Together = gait.Together{Because: "the feet do not step in turn; record both at once"}
			setMain(r, func(c *asymmetry.Comparison) { c.Difference.High, c.Because = 2*c.Floor, r.Together.Because })
		}}, "Cannot tell: the feet do not step in turn."},
		{"feet land differently", made{n: 200, left: 305, right: 250, verdict: unsure, change: func(r *gait.Result) {
			r.Asymmetry.LandDifferently = true
			setMeasure(r.Session.Right, step.HeelFirstKey, estimate.Estimate{N: 200, Center: 0.4})
		}}, "Your feet land differently, so how they are put down cannot be compared: of 100 steps the heel lands first in 100 on the left and 40 on the right."},
		{"never heel first", made{n: 200, verdict: unsure, change: func(r *gait.Result) {
			unmeasured(r.Session.Left, 0)
			unmeasured(r.Session.Right, 0)
		}}, "Neither foot landed heel first, so there was no lowering of the forefoot to measure."},
		{"lowering withheld on both", made{n: 200, verdict: unsure, change: func(r *gait.Result) {
			unmeasured(r.Session.Left, -1)
			unmeasured(r.Session.Right, 1)
		}}, "How the forefoot is lowered could not be measured, on both feet."},
		{"lowering withheld on the left", made{n: 200, verdict: unsure, change: func(r *gait.Result) { unmeasured(r.Session.Left, 1) }},
			"Cannot tell: on the left, how the forefoot is lowered could not be measured."},
		{"right never heel first", made{n: 200, verdict: unsure, change: func(r *gait.Result) { unmeasured(r.Session.Right, 0) }},
			"Cannot tell: on the right, no step landed heel first, so there was no lowering to measure."},
		{"left only", made{n: 200, left: 305, right: 305, change: func(r *gait.Result) { r.Session.Right, r.Asymmetry = nil, nil }},
			"Only the left foot was recorded: it was put down at 305 degrees a second."},
		{"uninjured only", made{n: 200, left: 305, right: 305, injured: asymmetry.InjuredRight, change: func(r *gait.Result) { r.Session.Right, r.Asymmetry = nil, nil }},
			"Only the uninjured left foot was recorded: it was put down at 305 degrees a second."},
		{"injured only", made{n: 200, left: 305, right: 305, injured: asymmetry.InjuredLeft, change: func(r *gait.Result) { r.Session.Right, r.Asymmetry = nil, nil }},
			"Only the injured left foot was recorded: it was put down at 305 degrees a second."},
		{"right only, not measured", made{n: 200, left: 305, right: 305, change: func(r *gait.Result) {
			r.Session.Left, r.Asymmetry = nil, nil
			unmeasured(r.Session.Right, -1)
		}}, "Only the right foot was recorded, and how the forefoot is lowered could not be measured."},
		{"right only, no steps", made{n: 200, change: func(r *gait.Result) {
			r.Session.Left, r.Asymmetry, r.Session.Right = nil, nil, &session.Side{Side: recording.Right}
		}}, "Only the right foot was recorded, and no usable steps were found."},
		{"no steps", made{n: 200, change: func(r *gait.Result) { r.Session.Left.Used, r.Session.Right.Used = 0, 0 }},
			"No usable steps were found in this recording, so nothing can be said about either foot."},
		{"step rate only", made{n: 200, change: func(r *gait.Result) {
			r.Session.Left, r.Session.Right, r.Asymmetry, r.Inputs = nil, nil, nil, nil
		}},
			"Only your step rate was recorded: 171 steps a minute."},
		{"side not known", made{n: 200, change: func(r *gait.Result) {
			r.Session.Left, r.Session.Right, r.Asymmetry = nil, nil, nil
			r.Inputs = []gait.Input{{Label: "a.csv", Side: recording.SideUnknown}}
		}}, "It is not known which foot was recorded. Only your step rate can be told: 171 steps a minute."},
		{"nothing", made{change: func(r *gait.Result) { *r = gait.Result{} }},
			"Nothing was recorded that shows how a foot is put down."},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := page.Answer(c.made.result())
			require.Equal(t, c.want, got.Sentence)
			require.Contains(t, got.Next[len(got.Next)-1], "When to get help")
			if strings.HasPrefix(got.Sentence, "Cannot") {
				require.Equal(t, unsure, got.Verdict)
			}
		})
	}
}

func TestAnswerSaysWhatWouldSettleIt(t *testing.T) {
	r := made{n: 200, left: 305, right: 350, verdict: asymmetry.CannotTell, change: func(r *gait.Result) {
		setMain(r, func(c *asymmetry.Comparison) {
			c.Difference.High, c.Because = 2*c.Floor, "the interval reaches across the limit: about 115 steps would settle it"
		})
	}}.result()
	require.Equal(t, "About 115 steps would settle it.", page.Answer(r).Next[0])
}

func TestAnswerSaysHowSure(t *testing.T) {
	r := made{n: 200, left: 305, right: 412, injured: asymmetry.InjuredRight, verdict: asymmetry.Different}.result()
	require.Equal(t, "Counted from 200 usable steps on the left and 200 on the right. The difference (right − left) is +107 degrees a second; "+
		"its 95 % interval reaches from +92 to +122. Up to 54 either way counts as alike.", page.Answer(r).Sure)
}

func TestAnswerMentionsWhatStandsBeside(t *testing.T) {
	r := made{n: 200, left: 305, right: 412, injured: asymmetry.InjuredBoth, verdict: asymmetry.Different, change: func(r *gait.Result) {
		r.Asymmetry.LandingNote = "the right foot lands flatter than the left"
		r.Asymmetry.Comparisons[2].Verdict = asymmetry.Different
		setMeasure(r.Session.Right, "deceleration_fraction", estimate.Estimate{N: 200, Center: 0.18})
	}}.result()
	text := strings.Join(page.Answer(r).Meaning, " ")
	require.Contains(t, text, "On the right it came down faster, so it may have been held back less.")
	require.Contains(t, text, "When the foot was flat, 50 % of that speed was gone on the left and 18 % on the right.")
	require.Contains(t, text, "The right foot lands flatter than the left.")
	require.Contains(t, text, page.LandingCaution)
	require.Contains(t, text, "Also different: time to foot-flat.")
	require.Contains(t, text, "compare with your own earlier sessions")
}

// A result never reads as a diagnosis, a clearance or a risk.
func TestAnswerClaimsNoMoreThanItMay(t *testing.T) {
	for _, verdict := range []asymmetry.Verdict{asymmetry.Different, asymmetry.Alike, asymmetry.CannotTell} {
		for _, injured := range []asymmetry.Injured{asymmetry.InjuredUnknown, asymmetry.InjuredLeft, asymmetry.InjuredRight, asymmetry.InjuredBoth} {
			text := strings.ToLower(page.Answer(made{n: 100, left: 305, right: 412, injured: injured, verdict: verdict}.result()).String())
			for _, word := range []string{"risk", "healthy", "normal", "safe", "cleared", "weak", "drop foot", "score"} {
				require.NotContains(t, text, word)
			}
			require.Contains(t, text, "when to get help")
		}
	}
}

func TestAnswerOfOneFootSaysHowSure(t *testing.T) {
	alone := func(n int) string {
		return page.Answer(made{n: n, left: 305, right: 305, change: func(r *gait.Result) { r.Session.Right, r.Asymmetry = nil, nil }}.result()).Sure
	}
	require.Contains(t, alone(200), "Counted from 200 usable steps on the left. The 95 % interval of that speed reaches from ")
	require.NotContains(t, alone(200), "needed")
	require.Contains(t, alone(8), "Counted from 8 usable steps on the left.")
	require.Contains(t, alone(8), "That is few: 25 on each foot are needed to compare them")
}

// The answer speaks of a foot that is not known unless both feet are known too:
// the remark then is what tells the reader.
func TestAFootThatIsNotKnownIsToldOnce(t *testing.T) {
	of := func(drop bool) *gait.Result {
		return made{n: 200, left: 305, right: 305, change: func(r *gait.Result) {
			r.Inputs = []gait.Input{{Label: "a.csv", Side: recording.SideUnknown}}
			r.Remarks = []remark.Remark{{Code: gait.SideUnknown, Place: remark.In("a.csv")}, {Code: "gap"}}
			if drop {
				r.Session.Right, r.Asymmetry = nil, nil
			}
		}}.result()
	}
	require.Len(t, page.Beside(of(false)), 2)
	require.NotContains(t, page.Answer(of(false)).String(), "a.csv")
	require.Len(t, page.Beside(of(true)), 1)
	require.Contains(t, page.Answer(of(true)).String(), "Another recording (a.csv) does not say which foot")
}

// Where no page is written, the answer is all there is: it must say itself why nothing
// was measured.
func TestWhatWasNotMeasuredSaysWhyInTheAnswer(t *testing.T) {
	shin := gait.Withheld{Why: "a shin sensor does not see the foot"}
	for name, c := range map[string]struct {
		left, right bool
		want        string
	}{
		"both":  {true, true, "Why, on both feet: a shin sensor does not see the foot."},
		"right": {false, true, "Why, on the right: a shin sensor does not see the foot."},
	} {
		t.Run(name, func(t *testing.T) {
			r := made{n: 200, left: 305, verdict: asymmetry.CannotTell, change: func(r *gait.Result) {
				for side, not := range map[recording.Side]bool{recording.Left: c.left, recording.Right: c.right} {
					if not {
						unmeasured(r.Session.Of(side), -1)
						r.Withheld = append(r.Withheld, gait.Withheld{What: "Peak lowering rate, " + side.String() + " foot", Why: shin.Why})
					}
				}
			}}.result()
			require.Contains(t, page.Answer(r).Meaning, c.want)
		})
	}
}
