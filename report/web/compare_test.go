package web

import (
	"html"
	"math"
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/recovery"
	"setdown/gait/step"
	"setdown/report/casebook"
	"setdown/signal/recording"
)

// Alternating stretches are marked with the run, and the page gives what the
// command line computes from the kept steps.
func TestStretchesOfOneRunAreCompared(t *testing.T) {
	a := newApp(t)
	path := a.computed(newCase("Ann"), feet(300, 0.3, 1)...)
	id, session, err := a.ids(path)
	require.NoError(t, err)
	has(t, a.ok("/cases/"+id+"/compare"), "Two sessions are needed")
	has(t, a.ok("/cases/"+id+"/compare"), "alternate it within one run", "one run is enough for stretches")
	const marks = "usual:0:10-1:00, quick:60-110, usual:110-160, quick:160-210, usual:210-260"
	f := url.Values{"date": {"2026-06-01"}, "blocks": {marks}}
	require.Equal(t, 303, a.post(path+"/form", f).status)
	has(t, a.ok(path), `value="usual:10-60, quick:60-110`)

	page := html.UnescapeString(a.ok("/cases/" + id + "/compare"))
	blocks, err := recovery.ParseBlocks(marks)
	require.NoError(t, err)
	_, steps, err := a.server.cfg.Book.Outputs(t.Context(), id, session)
	require.NoError(t, err)
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		timed, err := casebook.TimedSteps(steps, side, step.Primary)
		require.NoError(t, err)
		want := blocksOf(side, step.Find(step.Primary), timed, blocks)
		require.Contains(t, want.Change, "quick − usual")
		has(t, page, want.Change)
		has(t, page, want.Text)
	}
	require.Equal(t, 400, a.post(path+"/form", url.Values{"date": {"2026-06-01"}, "blocks": {"usual"}}).status)
	require.Equal(t, 303, a.post(path+"/form", url.Values{"date": {"2026-06-01"}, "blocks": {""}}).status)
	has(t, a.ok("/cases/"+id+"/compare"), "alternate it within one run", "taken back")
}

func TestSwappedSensorsTellTheFootFromTheSensor(t *testing.T) {
	a := newApp(t)
	path := a.computed(newCase("Ann"), feet(60, 0.3, 1)...)
	id, _, err := a.ids(path)
	require.NoError(t, err)
	has(t, a.ok("/cases/"+id+"/compare"), "Record two minutes as usual")
	f := url.Values{"case": {id}, "date": {"2026-06-01"}, "sensors_swapped": {"yes"}}
	a.computed(f, feet(60, 0.3, 2)...)
	has(t, a.ok("/cases/"+id+"/compare"), "the difference stays with the foot when the sensors are swapped")
	f = url.Values{"case": {id}, "date": {"2026-05-30"}, "sensors_swapped": {"yes"}}
	a.computed(f, feet(60, 0.3, 3)...)
	has(t, a.ok("/cases/"+id+"/compare"), "the difference stays with the foot", "the newest swapped run counts")
}

func TestAValueWithoutAnIntervalSaysWhatItNeeds(t *testing.T) {
	m := step.Find(step.Primary)
	v := recovery.Value{N: 1, Center: 1, Low: recovery.Real(math.NaN()), High: recovery.Real(math.NaN()), Needed: 2}
	require.Equal(t, "57 (no interval: 1 step, 2 are needed)", withInterval(m, v))
	require.Equal(t, "57 (no interval: 1 day, 2 are needed)", overDays(m, v))
	v.Needed = 0
	require.Equal(t, "57 (no interval, n 1)", withInterval(m, v))
}
