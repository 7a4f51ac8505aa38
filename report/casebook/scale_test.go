package casebook

import (
	"context"
	"database/sql"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/recovery"
)

// crowd makes a casebook whose case "fox" has n sessions and diary entries. The
// sessions go in by one transaction, for speed.
func crowd(t *testing.T, n int) (*Book, Case) {
	t.Helper()
	b, err := Create(t.Context(), filepath.Join(t.TempDir(), "x.casebook"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, b.Close()) })
	c := newCase(t, b, "fox")
	err = b.change(t.Context(), func(tx *sql.Tx) error {
		for i := range n {
			f := form(n - i)
			p, err := pack(sources(uint64(i), 2000)[0])
			require.NoError(t, err)
			id := f.Date.String() + "-" + p.SHA256[:6]
			if err := insertSession(t.Context(), tx, c.ID, id, p.SHA256, f, []packed{p}, analysis("1"), now); err != nil {
				return err
			}
			if _, err := write(t.Context(), tx, c.ID, kindEntry, EntryID(f.Date, 1), now, diary.Entry{Date: f.Date, Run: true}); err != nil {
				return err
			}
		}
		return nil
	})
	require.NoError(t, err)
	return b, c
}

// A thousand sessions: the way from the file to the follow-up takes at most
// three times as long a session as with a hundred. A ratio of medians of
// alternating runs, because single times on a shared machine say nothing.
func TestAThousandSessionsScale(t *testing.T) {
	if testing.Short() {
		t.Skip("long: builds a casebook of 1,000 sessions")
	}
	small, cs := crowd(t, 100)
	large, cl := crowd(t, 1000)
	look := func(b *Book, c Case) float64 {
		begin := time.Now()
		ss, err := b.Sessions(context.Background(), c.ID)
		require.NoError(t, err)
		in := make([]recovery.Session, len(ss))
		for i, s := range ss {
			in[i] = s.Summary
		}
		got := recovery.Follow(in, asymmetry.InjuredLeft)
		require.NotEmpty(t, got.Because)
		log, err := b.Diary(context.Background(), c.ID)
		require.NoError(t, err)
		diary.Advise(c.Person, log, diary.Sensors{}, c.Rules, diary.DateOf(now))
		return time.Since(begin).Seconds() / float64(len(ss))
	}
	var ratios []float64
	for range 5 {
		ratios = append(ratios, look(large, cl)/look(small, cs))
	}
	var mem runtime.MemStats
	runtime.ReadMemStats(&mem)
	t.Logf("per session, 1,000 against 100: %.2f (five runs %.2f); memory from the system %d MB; file %d MB", median(ratios), ratios, mem.Sys>>20, fileSize(large.Path())>>20)
	require.LessOrEqual(t, median(ratios), 3.0)
	require.LessOrEqual(t, mem.Sys>>20, uint64(300))
}

func median(x []float64) float64 {
	y := append([]float64(nil), x...)
	for i := range y {
		for j := i; j > 0 && y[j] < y[j-1]; j-- {
			y[j], y[j-1] = y[j-1], y[j]
		}
	}
	return y[len(y)/2]
}
