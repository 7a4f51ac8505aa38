package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"math"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/step"
	"setdown/report/casebook"
	"setdown/report/table"
	"setdown/signal/recording"
)

// direct analyses the files as the analyze command does, without this package.
func direct(t *testing.T, files []named, sides ...recording.Side) *gait.Result {
	var sources []recording.Source
	for i, f := range files {
		sources = append(sources, recording.Bytes(f.name, f.data, sides[i]))
	}
	set, err := recording.Open(t.Context(), sources, recording.Options{})
	require.NoError(t, err)
	res, err := gait.Analyze(t.Context(), set, gait.Settings{Version: "test", Injured: asymmetry.InjuredRight, Seed: 1, Curves: 400, Excerpt: 4})
	require.NoError(t, err)
	return res
}

func TestAPageAndSessionJSONHaveTheSameNumbers(t *testing.T) {
	a := newApp(t)
	files := feet(60, 0.3, 1)
	path := a.computed(newCase("Ann"), files...)

	var want, steps bytes.Buffer
	res := direct(t, files, recording.Left, recording.Right)
	require.NoError(t, table.WriteSession(&want, res))
	require.NoError(t, table.WriteSteps(&steps, res.Steps))
	require.Equal(t, want.String(), a.ok(path+"/session.json"), "the page's session.json and that of the command line")
	require.Equal(t, steps.String(), a.ok(path+"/steps.csv"))

	doc, err := table.ReadSession(&want, "session.json")
	require.NoError(t, err)
	page := html.UnescapeString(a.ok(path))
	for _, m := range step.Catalogue() {
		for side, measures := range map[string]table.ByMetric[table.Estimate]{"left": doc.Sides.Left, "right": doc.Sides.Right} {
			e, ok := measures.Get(m.Key)
			require.True(t, ok)
			if math.IsNaN(float64(e.Center)) {
				continue
			}
			shown := m.Unit.FromBase(table.ColumnUnit(m).ToBase(float64(e.Center)))
			text := "<b>" + strings.Replace(strconv.FormatFloat(shown, 'f', m.Digits, 64), "-", "−", 1) + "</b>"
			has(t, strings.ReplaceAll(page, "<b>-", "<b>−"), text, "%s, %s", m.Key, side)
			has(t, page, fmt.Sprintf("n %d", e.N), "%s, %s", m.Key, side)
		}
	}
	has(t, page, fmt.Sprintf("%.0f steps a minute", float64(doc.Cadence.StepsPerMinute)))
}

func TestASessionIsTheSameFromMemoryFromTheDiskAndComputedAgain(t *testing.T) {
	a := newApp(t)
	path := a.computed(newCase("Ann"), feet(60, 0.3, 1)...)
	page, doc := a.ok(path), a.ok(path+"/session.json")
	signal := a.ok(path + "/signal.json?width=300")

	a.server.results.last = nil
	require.Equal(t, page, a.ok(path), "from the disk")

	a.server.results.last = nil
	require.NoError(t, a.server.cfg.Folder.RemoveAll(kept))
	require.NoError(t, a.server.cfg.Folder.Mkdir(kept, 0o700))
	require.Equal(t, doc, a.ok(path+"/session.json"), "computed again")
	require.Equal(t, page, a.ok(path), "computed again")
	require.Equal(t, signal, a.ok(path+"/signal.json?width=300"), "the signal file is made again")
}

func TestTheReportStandsUncutOnThePage(t *testing.T) {
	a := newApp(t)
	path := a.computed(newCase("Ann"), feet(60, 0.3, 1)...)
	page := a.ok(path)
	has(t, page, "When to get help")
	has(t, page, "<main class=\"report\">")
	require.Equal(t, 1, strings.Count(page, "<main"))
	lacks(t, page, " style=", "a style attribute would be refused by the policy")
	lacks(t, page, "<style")
	lacks(t, page, "javascript:")
}

// sessionOf reads session.json.
func (a *app) sessionOf(path string) *table.Document {
	d, err := table.ReadSession(strings.NewReader(a.ok(path+"/session.json")), "session.json")
	require.NoError(a.t, err)
	return d
}

func TestLeavingOutAndTakingBackMovesEveryNumber(t *testing.T) {
	a := newApp(t)
	path := a.computed(newCase("Ann"), feet(60, 0.3, 1)...)
	before := a.ok(path + "/session.json")
	used := a.sessionOf(path).Steps.Right.Used

	var points stepPoints
	require.NoError(t, json.Unmarshal([]byte(a.ok(path+"/steps.json")), &points))
	var one stepPoint
	for _, p := range points.Points {
		if p.Used && p.Side == "right" {
			one = p
		}
	}
	got := a.post(path+"/leave", url.Values{"step": {one.ID}})
	require.Equal(t, 303, got.status, got.body)
	after := a.sessionOf(path)
	require.Equal(t, used-1, after.Steps.Right.Used)
	has(t, a.ok(path), fmt.Sprintf("right step %d (at", one.Number))
	has(t, a.ok(path+"/steps.csv"), byHand)

	got = a.post(path+"/leave", url.Values{"from": {"10"}, "to": {"20"}, "side": {"both"}})
	require.Equal(t, 303, got.status, got.body)
	span := a.sessionOf(path)
	require.Less(t, span.Steps.Left.Used, after.Steps.Left.Used-5)
	require.Less(t, span.Steps.Right.Used, after.Steps.Right.Used-5)

	c, sess, err := a.ids(path)
	require.NoError(t, err)
	kept, _, err := a.server.cfg.Book.Outputs(t.Context(), c, sess)
	require.NoError(t, err)
	require.Equal(t, string(kept), a.ok(path+"/session.json"), "the review follows what the page shows")

	require.Equal(t, 303, a.post(path+"/undo", url.Values{"n": {"0"}}).status)
	require.Equal(t, 303, a.post(path+"/undo", url.Values{}).status)
	require.Equal(t, before, a.ok(path+"/session.json"), "taking everything back gives the same bytes")
	require.Equal(t, 400, a.post(path+"/undo", url.Values{}).status)
	kept, _, err = a.server.cfg.Book.Outputs(t.Context(), c, sess)
	require.NoError(t, err)
	require.Equal(t, before, string(kept))
}

// The session without a span must be what an analysis gives whose steps in the
// span were never used: the same numbers from the same functions, checked here
// by counting them by hand.
func TestLeftOutStepsEnterNoNumber(t *testing.T) {
	res := direct(t, feet(60, 0.3, 1), recording.Left, recording.Right)
	edits := []edit{{Side: "right", From: 0, To: 30}}
	got := without(res, edits)
	n := 0
	for _, s := range got.Steps {
		if s.Used && s.Side == recording.Right && s.HeelFirst == step.True {
			require.Greater(t, s.InitialContact, 30.0)
			n++
		}
	}
	require.Equal(t, n, got.Session.Right.Get(step.Primary).N)
	require.Equal(t, res.Session.Left.Get(step.Primary), got.Session.Left.Get(step.Primary), "the other side is as it was")
	require.Equal(t, written(t, direct(t, feet(60, 0.3, 1), recording.Left, recording.Right)), written(t, res), "the result itself is not modified")
	require.Same(t, res, without(res, nil))
}

// written is all that a result holds for files.
func written(t *testing.T, res *gait.Result) string {
	var b bytes.Buffer
	require.NoError(t, table.WriteSession(&b, res))
	require.NoError(t, table.WriteSteps(&b, res.Steps))
	return b.String()
}

func (a *app) ids(path string) (string, string, error) {
	var c, s string
	_, err := fmt.Sscanf(strings.ReplaceAll(path, "/", " "), " cases %s sessions %s", &c, &s)
	return c, s, err
}

func TestWhatCannotBeLeftOutIsSaid(t *testing.T) {
	a := newApp(t)
	path := a.computed(newCase("Ann"), feet(60, 0.3, 1)...)
	for name, f := range map[string]url.Values{
		"no such step":       {"step": {"right-99999"}},
		"nothing":            {},
		"a span backwards":   {"from": {"20"}, "to": {"10"}, "side": {"both"}},
		"a span of words":    {"from": {"x"}, "to": {"10"}, "side": {"both"}},
		"a span of no side":  {"from": {"1"}, "to": {"10"}, "side": {"up"}},
		"a span that is NaN": {"from": {"NaN"}, "to": {"10"}, "side": {"both"}},
	} {
		require.Equal(t, 400, a.post(path+"/leave", f).status, name)
	}
	require.Empty(t, a.lines())
}

func TestConditionsThatCannotBeAreSaid(t *testing.T) {
	a := newApp(t)
	path := a.computed(newCase("Ann"), feet(60, 0.3, 1)...)
	for name, f := range map[string]url.Values{
		"cannot be":                 {"drop_mm": {"-500"}},
		"lies before the year 2000": {"date": {"1926-11-29"}},
	} {
		got := a.post(path+"/form", f)
		require.Equal(t, 400, got.status, name)
		has(t, got.body, name)
	}
	require.Equal(t, 303, a.post(path+"/form", url.Values{"drop_mm": {"8"}}).status)
	require.Empty(t, a.lines())
}

// The extremes of a window must hold every sample: compared with the samples
// themselves, read by the ingestion layer.
func TestTheSignalLosesNoPeak(t *testing.T) {
	a := newApp(t)
	files := feet(60, 0.3, 1)
	path := a.computed(newCase("Ann"), files...)
	var win window
	require.NoError(t, json.Unmarshal([]byte(a.ok(path+"/signal.json?width=137&from=5&to=33.3")), &win))
	require.Len(t, win.Tracks, 2)

	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes(files[1].name, files[1].data, recording.Right)}, recording.Options{})
	require.NoError(t, err)
	want := make([]float64, 137)
	_, err = set.Tracks[0].Read(&set.Remarks, func(b *recording.Block) error {
		for i := range b.Len() {
			at := b.Start + float64(b.First+i)/set.Tracks[0].Rate
			if k := int((at - 5) / (28.3 / 137)); at >= 5 && k < 137 {
				g := math.Sqrt(b.Gyr[0][i]*b.Gyr[0][i]+b.Gyr[1][i]*b.Gyr[1][i]+b.Gyr[2][i]*b.Gyr[2][i]) * 180 / math.Pi
				want[k] = math.Max(want[k], g)
			}
		}
		return nil
	})
	require.NoError(t, err)
	for k, v := range win.Tracks[1].GyrHigh {
		require.InDelta(t, want[k], float64(v), 0.001*want[k]+0.01, "bucket %d", k) // four digits are sent
	}
	require.NotEmpty(t, win.Events)
	require.Empty(t, window{}.Events)
}

func TestASignalWindowIsBoundedByTheRecording(t *testing.T) {
	a := newApp(t)
	path := a.computed(newCase("Ann"), feet(60, 0.3, 1)...)
	for _, q := range []string{"?from=-1e9&to=1e9", "?from=1e300&to=-1e300", "?from=NaN&to=Inf", "?width=99999999", "?width=-4", "?from=59.999&to=60"} {
		var win window
		require.NoError(t, json.Unmarshal([]byte(a.ok(path+"/signal.json"+q)), &win), q)
		require.LessOrEqual(t, win.Begin, win.From, q)
		require.LessOrEqual(t, win.To, win.End, q)
		require.Less(t, win.From, win.To, q)
		require.LessOrEqual(t, len(win.Tracks[0].AccLow), mostBuckets, q)
	}
}

func TestTheNextRecordingIsToldWhatItMustAdd(t *testing.T) {
	a := newApp(t)
	short := feet(14, 0.3, 3)
	has(t, html.UnescapeString(a.ok(a.computed(newCase("Short"), short...))), "For an answer the next recording needs at least")
	one := a.computed(newCase("One"), feet(60, 0.3, 4)[0])
	has(t, html.UnescapeString(a.ok(one)), "needs a sensor on the right foot too")
	full := a.computed(newCase("Full"), feet(60, 0.3, 1)...)
	has(t, html.UnescapeString(a.ok(full)), "This recording gave an answer")
}

func TestACorrectedInjuredSideReachesTheSession(t *testing.T) {
	a := newApp(t)
	path := a.computed(newCase("Ann"), feet(60, 0.3, 1)...)
	require.Equal(t, "right", a.sessionOf(path).Injured)
	id, _, err := a.ids(path)
	require.NoError(t, err)
	require.NoError(t, a.server.cfg.Book.ChangeCase(t.Context(), id, testNow, func(c *casebook.Case) error {
		c.Injured = "left"
		return nil
	}))
	require.Equal(t, "left", a.sessionOf(path).Injured)
	_, sess, err := a.ids(path)
	require.NoError(t, err)
	kept, _, err := a.server.cfg.Book.Outputs(t.Context(), id, sess)
	require.NoError(t, err)
	require.Equal(t, string(kept), a.ok(path+"/session.json"))
}

// Nothing but the steps that were left out may differ: neither how the sides
// were recorded nor the seed is lost on the way.
func TestLeavingNothingOutChangesNothing(t *testing.T) {
	sources := func(files []named) (out []recording.Source) {
		for _, f := range files {
			out = append(out, recording.Bytes(f.name, f.data, recording.SideUnknown))
		}
		return out
	}
	for name, how := range map[string]casebook.Reading{"at once": {}, "one sensor": {OneSensor: true}} {
		t.Run(name, func(t *testing.T) {
			base, err := Analyze("test")(t.Context(), sources(feet(60, 0.3, 1)), asymmetry.InjuredRight, how)
			require.NoError(t, err)
			require.Equal(t, name == "at once", base.Together.Comparable)
			got := without(base, []edit{{Side: "both", From: -20, To: -10}})
			got.Remarks, got.Choices = base.Remarks, base.Choices // these say what was left out
			var was, is bytes.Buffer
			require.NoError(t, table.WriteSession(&was, base))
			require.NoError(t, table.WriteSession(&is, got))
			require.Equal(t, was.String(), is.String())
		})
	}
}
