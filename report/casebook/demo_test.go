package casebook

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/gait/step"
	"setdown/report/page"
	"setdown/signal/recording"
)

// analyzeForTest is the front door as a command wires it.
func analyzeForTest(ctx context.Context, sources []recording.Source, injured asymmetry.Injured, how Reading) (*gait.Result, error) {
	set, err := recording.Open(ctx, sources, recording.Options{Rate: how.Rate})
	if err != nil {
		return nil, err
	}
	return gait.Analyze(ctx, set, gait.Settings{Version: "test", Injured: injured, Seed: 1, Curves: 200})
}

// The invented case tells what it was made to tell: control comes back, other
// shoes are set apart, and the page shows it.
func TestDemoCase(t *testing.T) {
	if testing.Short() {
		t.Skip("long: analyses ten recordings")
	}
	b := newBook(t)
	told := 0
	c, err := b.Demo(t.Context(), analyzeForTest, func(int, int) { told++ })
	require.NoError(t, err)
	require.Equal(t, 10, told)
	r, err := b.Review(t.Context(), c.ID, DemoToday, "setdown test")
	require.NoError(t, err)
	require.Len(t, r.Sessions, 10)
	for _, s := range r.Sessions {
		m := s.Measures[step.Primary]
		t.Logf("%s %s: left %.0f right %.0f deg/s, used %d %d", s.Date, s.Conditions.Shoe, float64(m.Left.Center)*57.29578, float64(m.Right.Center)*57.29578, s.UsedLeft, s.UsedRight)
	}
	t.Logf("%s: %s", r.Follow.Word, r.Follow.Because)
	t.Logf("%s: %+v", r.Advice.Word, r.Advice.Reasons)
	require.Contains(t, []recovery.Word{recovery.ControlImproving, recovery.SidesEquivalent}, r.Follow.Word, r.Follow.Because)
	require.Len(t, r.Follow.Groups, 2)
	require.GreaterOrEqual(t, r.Advice.Word, diary.Hold)
	var out, again bytes.Buffer
	require.NoError(t, page.WriteReview(&out, r))
	require.NoError(t, page.WriteReview(&again, r))
	require.Equal(t, out.Bytes(), again.Bytes())
	require.Contains(t, out.String(), "Invented case")
	if dir := os.Getenv("SETDOWN_LOOK"); dir != "" {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "review.html"), out.Bytes(), 0o600))
		var letter bytes.Buffer
		require.NoError(t, page.WriteLetter(&letter, page.Letter{Review: r, On: DemoToday, By: "physiotherapist (invented)"}))
		require.NoError(t, os.WriteFile(filepath.Join(dir, "letter.html"), letter.Bytes(), 0o600))
	}
}
