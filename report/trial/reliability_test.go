package trial_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/estimate"
	"setdown/gait/step"
	"setdown/report/trial"
)

// weir is data set A of Weir (2005, J. Strength Cond. Res. 19, 231–240).
type weir struct{}

func (weir) Measurements(_ context.Context, yield func(trial.Measurement) error) error {
	for occasion, values := range map[string][]float64{
		"1": {146, 148, 170, 90, 157, 156, 176, 205}, "2": {140, 152, 152, 99, 145, 153, 167, 218},
	} {
		for i, v := range values {
			m := trial.Measurement{Subject: string(rune('a' + i)), Occasion: occasion, Side: "left", Values: map[string]float64{step.Primary: v}}
			if err := yield(m); err != nil {
				return err
			}
		}
	}
	return yield(trial.Measurement{Subject: "once", Occasion: "1", Side: "left", Values: map[string]float64{step.Primary: 100}})
}

func primary(t *testing.T, all []trial.Agreement) trial.Agreement {
	t.Helper()
	for _, a := range all {
		if a.Metric.Key == step.Primary && a.Side == "left" {
			return a
		}
	}
	require.Fail(t, "no agreement of the primary measure")
	return trial.Agreement{}
}

// Expected values: ../shared/check-values.md, section 3, Weir 2005.
func TestReliabilityOfAPublishedExample(t *testing.T) {
	all, err := trial.Reliability(context.Background(), weir{}, estimate.Config{})
	require.NoError(t, err)
	a := primary(t, all)
	require.Equal(t, []string{"1", "2"}, a.Occasions)
	require.Equal(t, []string{"once"}, a.LeftOut)
	for i, want := range []float64{.950053, .949975, .947016} {
		require.Condition(t, func() bool {
			for _, e := range a.ICC {
				if e.Center > want-1e-6 && e.Center < want+1e-6 {
					return true
				}
			}
			return false
		}, "form %d", i)
	}
	require.InDelta(t, 7.556927, a.SEM.Center, 1e-6)
	require.InDelta(t, 20.946732, a.Normal, 5e-4) // the paper rounds the quantile to 1.96
	require.Greater(t, a.MDC95.Center, a.Normal, "Student's quantile is larger")
	require.Len(t, a.Pairs, 1)
	require.InDelta(t, -2.75, a.Pairs[0].Mean.Center, 1e-9) // second − first
	require.InDelta(t, 10.687108, a.Pairs[0].SD, 1e-6)

	dir := filepath.Join(t.TempDir(), "out")
	require.NoError(t, trial.WriteReliability(dir, all, "test", false))
	files := tree(t, dir)
	require.Contains(t, files["agreement.csv"], "icc_1_1,icc_1_1_low")
	require.Contains(t, files["agreement.csv"], ",peak_lowering_rate_deg_s,deg/s,left,8,2,1,0.9501,")
	require.Contains(t, files["limits.csv"], ",peak_lowering_rate_deg_s,deg/s,left,1,2,8,-2.75,")
	require.Contains(t, files["plots/peak_lowering_rate_deg_s_left_1_2.svg"], "<svg")
	require.NotContains(t, files["reliability.html"], "://", "the page needs no network")
	require.Error(t, trial.WriteReliability(dir, all, "test", false), "a folder that is not empty is refused")
	require.NoError(t, trial.WriteReliability(dir, all, "test", true))
	require.Equal(t, files, tree(t, dir), "the same bytes again")
}

// conditions has Weir's data as side differences, under each condition scaled by its number.
type conditions map[string]float64

func (c conditions) Measurements(ctx context.Context, yield func(trial.Measurement) error) error {
	for condition, times := range c {
		err := weir{}.Measurements(ctx, func(m trial.Measurement) error {
			m.Condition, m.Side = condition, trial.DifferenceSide
			m.Values = map[string]float64{step.Primary: times * m.Values[step.Primary]}
			return yield(m)
		})
		if err != nil {
			return err
		}
	}
	return nil
}

func TestTheErrorOfEachConditionIsSaidAsItsOwn(t *testing.T) {
	all, err := trial.Reliability(context.Background(), conditions{"quick": 1, "usual": 2, "still": 0}, estimate.Config{})
	require.NoError(t, err)
	said := trial.ReliabilitySentence(all)
	require.Contains(t, said, "Condition quick: between two sessions, a side difference of the peak lowering rate must change by more than 25 deg/s")
	require.Contains(t, said, "Condition usual: between two sessions, a side difference of the peak lowering rate must change by more than 51 deg/s")
	require.Contains(t, said, "Condition still: how well the side difference of the peak lowering rate repeats cannot be told: every session has the same value")
	all, err = trial.Reliability(context.Background(), conditions{"": 1}, estimate.Config{})
	require.NoError(t, err)
	require.True(t, strings.HasPrefix(trial.ReliabilitySentence(all), "Between two sessions, "))
	require.Equal(t, "Nothing was measured more than once.", trial.ReliabilitySentence(nil))
}

// same has equal values in every session.
type same struct{}

func (same) Measurements(_ context.Context, yield func(trial.Measurement) error) error {
	for _, subject := range []string{"a", "b", "c", "d"} {
		for _, occasion := range []string{"1", "2"} {
			if err := yield(trial.Measurement{Subject: subject, Occasion: occasion, Side: "left", Values: map[string]float64{step.Primary: 5}}); err != nil {
				return err
			}
		}
	}
	return nil
}

func TestNothingIsDetectableWhereNothingVaries(t *testing.T) {
	all, err := trial.Reliability(context.Background(), same{}, estimate.Config{})
	require.NoError(t, err)
	a := primary(t, all)
	require.Contains(t, a.Because, "every session has the same value")
	require.Contains(t, a.Pairs[0].Because, "the limits cannot be told")
	dir := filepath.Join(t.TempDir(), "out")
	require.NoError(t, trial.WriteReliability(dir, all, "test", false))
	require.Contains(t, tree(t, dir)["limits.csv"], ",peak_lowering_rate_deg_s,deg/s,left,1,2,4,,", "there are four pairs, though no limits")
}

func TestReliabilityOfATrial(t *testing.T) {
	dir := pairs(t, 6)
	var b strings.Builder
	b.WriteString("subject,session,side,file\n")
	for i, who := range []string{"a", "a", "b", "b", "c", "c"} {
		for _, side := range []string{"left", "right"} {
			b.WriteString(who + "," + []string{"pre", "post"}[i%2] + "," + side + ",p" + string(rune('1'+i)) + "_" + side + ".csv\n")
		}
	}
	put(t, dir, "manifest.csv", []byte(b.String()))
	out, _ := batch(t, dir, trial.Options{})
	all, err := trial.Reliability(context.Background(), trial.Folder(out), estimate.Config{})
	require.NoError(t, err)
	a := primary(t, all)
	require.Equal(t, []string{"a", "b", "c"}, a.Subjects)
	require.Equal(t, []string{"post", "pre"}, a.Occasions)
	require.Empty(t, a.Because)
	_, err = trial.Reliability(context.Background(), trial.Folder(t.TempDir()), estimate.Config{})
	require.ErrorIs(t, err, os.ErrNotExist)
}
