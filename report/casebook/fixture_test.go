package casebook

import (
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/gait/diary"
	"setdown/gait/estimate"
	"setdown/gait/recovery"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// now is the invented present of these tests, in a zone of its own.
var now = time.Date(2026, time.May, 31, 9, 30, 0, 0, time.FixedZone("+02:00", 7200))

func newBook(t *testing.T) *Book {
	t.Helper()
	b, err := Create(t.Context(), filepath.Join(t.TempDir(), "x.casebook"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, b.Close()) })
	return b
}

func newCase(t testing.TB, b *Book, name string) Case {
	t.Helper()
	c, err := b.NewCase(t.Context(), Case{Name: name, Injured: "left", Onset: diary.On(2026, 3, 1)}, now)
	require.NoError(t, err)
	return c
}

// noise is n bytes that hardly compress.
func noise(seed uint64, n int) []byte {
	r := rand.New(rand.NewPCG(seed, 1))
	out := make([]byte, n)
	for i := range out {
		out[i] = byte(r.Uint32())
	}
	return out
}

// sources are two invented recordings.
func sources(seed uint64, n int) []recording.Source {
	return []recording.Source{
		recording.Bytes(fmt.Sprintf("run-%03d-left.csv", seed), noise(2*seed, n), recording.Left),
		recording.Bytes(fmt.Sprintf("run-%03d-right.csv", seed), noise(2*seed+1, n), recording.Right),
	}
}

func invented(x float64) recovery.Value {
	return recovery.ValueOf(estimate.Estimate{N: 120, Center: x, Low: x - 0.1, High: x + 0.1, Method: "invented"})
}

// analysis is an invented analysis by a method.
func analysis(method string) Analysis {
	s := recovery.Session{Method: method, Gait: "running", UsedLeft: 120, UsedRight: 120, StepRate: invented(2.8), Measures: map[string]recovery.Measure{}}
	for _, m := range step.Catalogue() {
		s.Measures[m.Key] = recovery.Measure{Left: invented(8), Right: invented(6), Difference: invented(2)}
	}
	return Analysis{Method: method, Tool: "test", Settings: "seed 0", Summary: s, Remarks: []string{"invented"},
		Curves: &Curves{Left: []float64{1, 2.5}, Right: []float64{3}}, SessionJSON: []byte(`{"method":"` + method + `"}`),
		StepsCSV: []byte("side,used,initial_contact_s,peak_lowering_rate_deg_s\nleft,true,1.5,400\nleft,false,2,1\nright,true,1.8,380\nleft,true,2.2,\n")}
}

func form(ago int) SessionForm {
	start := now.AddDate(0, 0, -ago)
	speed := 2.8
	return SessionForm{Date: diary.DateOf(start), Start: &start, Zone: "+02:00",
		Conditions: recovery.Conditions{Shoe: "grey", Surface: "path", SpeedMPS: &speed}}
}

func add(t *testing.T, b *Book, c Case, seed uint64, ago int) string {
	t.Helper()
	id, err := b.AddSession(t.Context(), c.ID, form(ago), sources(seed, 2000), analysis("1"), now)
	require.NoError(t, err)
	return id
}

func sessions(t *testing.T, b *Book, c Case) []Session {
	t.Helper()
	out, err := b.Sessions(context.WithoutCancel(t.Context()), c.ID)
	require.NoError(t, err)
	return out
}
