package page_test

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"regexp"
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

func written(t *testing.T, r *gait.Result) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, page.Write(&b, r))
	return b.String()
}

// outline is what a page holds in document order.
type outline struct {
	headings []string
	text     string
	ids      map[string]bool
	links    []string
}

// read parses a page strictly as XML, which the template keeps to so that a
// slip is found: every element closed, every attribute quoted, ids once.
func read(t *testing.T, text string) outline {
	t.Helper()
	o := outline{ids: map[string]bool{}}
	d := xml.NewDecoder(strings.NewReader(text))
	var inside []string
	var all strings.Builder
	for {
		tok, err := d.Token()
		if err == io.EOF {
			o.text = strings.Join(strings.Fields(all.String()), " ")
			return o
		}
		require.NoError(t, err)
		switch e := tok.(type) {
		case xml.StartElement:
			inside = append(inside, e.Name.Local)
			if regexp.MustCompile(`^h[1-3]$`).MatchString(e.Name.Local) {
				o.headings = append(o.headings, e.Name.Local+" ")
			}
			for _, a := range e.Attr {
				switch a.Name.Local {
				case "id":
					require.False(t, o.ids[a.Value], "id %q twice", a.Value)
					o.ids[a.Value] = true
				case "href", "src":
					o.links = append(o.links, a.Value)
				case "style":
					t.Errorf("style attribute on %s", e.Name.Local)
				}
				require.False(t, strings.HasPrefix(a.Name.Local, "on"), "script in %s", e.Name.Local)
			}
			require.NotEqual(t, "script", e.Name.Local)
		case xml.EndElement:
			inside = inside[:len(inside)-1]
		case xml.CharData:
			if len(inside) > 0 && strings.HasPrefix(inside[len(inside)-1], "h") && len(inside[len(inside)-1]) == 2 {
				o.headings[len(o.headings)-1] += string(e)
			}
			if len(inside) > 0 && inside[len(inside)-1] != "style" {
				all.WriteString(string(e) + " ")
			}
		}
	}
}

func different() made {
	return made{n: 60, left: 305, right: 412, injured: asymmetry.InjuredRight, verdict: asymmetry.Different}
}

func TestPageBeginsWithTheAnswerAndGoesOnInOrder(t *testing.T) {
	r := different().result()
	o := read(t, written(t, r))
	require.Equal(t, "h1 "+page.Answer(r).Sentence, o.headings[0])
	var top []string
	for _, h := range o.headings {
		if strings.HasPrefix(h, "h2 ") {
			top = append(top, h[3:])
		}
	}
	require.Equal(t, []string{"What this means", "What to do next", "How sure is this?", "Side by side",
		"The lowering of the forefoot", "All steps by size", "Along the session", "The signal itself", "Within this recording",
		"Not measured, and why", "Remarks on the recording", "What the measures are", "How it was computed", "What went in", "When to get help"}, top)
}

func TestPageHoldsEveryMetric(t *testing.T) {
	r := different().result()
	text := written(t, r)
	o := read(t, text)
	for _, m := range step.Catalogue() {
		require.Contains(t, text, `<th scope="row">`+m.Label, m.Key)
		require.Contains(t, o.text, m.Definition[1:], m.Key)
	}
	require.Equal(t, len(step.Catalogue()), strings.Count(text, `<tr class="why">`))
}

func TestWhatIsMadeDifferentlyOnTheFeetNamesTheFoot(t *testing.T) {
	r := different().result()
	for i := range r.Session.Of(recording.Right).Measures {
		if m := &r.Session.Of(recording.Right).Measures[i]; m.Key == step.Primary {
			m.Method = "from 12 steps"
		}
	}
	o := read(t, written(t, r))
	require.Contains(t, o.text, "Middle value and interval of peak lowering rate (right) From 12 steps.")
	require.Contains(t, o.text, ", peak lowering rate (left), ")
}

func TestPageShowsTheNumbersOfTheResult(t *testing.T) {
	r := different().result()
	o := read(t, written(t, r))
	require.Regexp(t, `Peak lowering rate deg/s main measure 4\d\d 4\d\d to 4\d\d · n 60 3\d\d (29|30)\d to 3\d\d · n 60 \+1\d\d \+\d+ to \+1\d\d · limit ±5\d Different\. The reason for the verdict\. Symmetry index \+\d+ %`, o.text)
	require.Contains(t, o.text, "Middle value and interval of heel-first share, peak lowering rate, ")
	require.Contains(t, o.text, "Right injured")
	require.Contains(t, o.text, "right.csv:10422 (at 52.110 s) 3 times, first here 0.42 s without samples.")
	require.Contains(t, o.text, "SHA-256 9f86d081884c7d65")
	require.Contains(t, o.text, "Foot-flat peak, right foot the accelerometer clipped at 157 m/s²")
	require.Contains(t, o.text, "Peak lowering rate, left +12 deg/s −3 to +27 0.4 to 1.9 not shown")
}

// What was measured on one foot only has no difference, and no sign before it; more
// steps are not what the other foot needs.
func TestWhatIsNotMeasuredHasNoSign(t *testing.T) {
	r := different().result()
	for i := range r.Steps {
		if r.Steps[i].Side == recording.Right {
			r.Steps[i].HeelContactPeak = math.NaN()
		}
	}
	r.Session = session.Summarise(r.Steps, estimate.Config{Seed: 1})
	r.Asymmetry = asymmetry.Compare(r.Session, r.Steps, asymmetry.Settings{})
	text := read(t, written(t, r)).text
	require.NotContains(t, text, "+–")
	require.Regexp(t, `Heel-contact peak m/s² – not measured · n 0 [\d.]+ \S+ to \S+ · n \d+ – Shown only`, text)
}

func TestPageCarriesTheCautions(t *testing.T) {
	for _, r := range []*gait.Result{different().result(), {}} {
		o := read(t, written(t, r))
		require.Contains(t, o.text, page.Limits)
		for _, c := range page.Cautions() {
			require.Contains(t, o.text, c.When)
			for _, s := range c.Signs {
				require.Contains(t, o.text, s)
			}
		}
		for _, n := range page.CautionNotes() {
			require.Contains(t, o.text, n)
		}
		require.Contains(t, o.links, "#help")
		require.True(t, o.ids["help"])
	}
}

func TestPageNeedsNoNetwork(t *testing.T) {
	text := written(t, different().result())
	for _, l := range read(t, text).links {
		require.Regexp(t, `^(#|data:)`, l)
	}
	without := strings.ReplaceAll(text, `xmlns="http://www.w3.org/2000/svg"`, "")
	require.NotRegexp(t, `(?i)https?:|//[a-z]|@import|url\(`, without)
	require.Contains(t, text, "default-src 'none'")
}

func TestPageEscapesWhatComesFromFiles(t *testing.T) {
	const evil = `"><script>alert(1)</script><img src=x onerror=alert(2)>{{.}}</style>` + "\u202e"
	m := different()
	m.change = func(r *gait.Result) {
		r.Inputs[0].Label, r.Inputs[0].Files[0].Name = evil, evil
		r.Inputs[0].Mapping[0].Name = evil
		r.Remarks[0] = remark.Remark{Code: "x", Place: remark.At(evil, 1, 2), Count: 1, Text: evil}
		r.Withheld[0].Why, r.Choices[0].Value = evil, evil
		r.Session.Left.LeftOut = []session.Count{{Reason: evil, Steps: 2}}
		r.Asymmetry.Comparisons[0].Because = evil
	}
	text := written(t, m.result())
	require.NotContains(t, text, "<script")
	require.NotContains(t, text, "<img")
	require.Equal(t, 1, strings.Count(text, "</style>"))
	read(t, text)
}

func TestSameResultGivesTheSamePage(t *testing.T) {
	require.Equal(t, written(t, different().result()), written(t, different().result()))
}

// swapped exchanges the sides of a result.
func swapped(r *gait.Result) *gait.Result {
	r.Session.Left, r.Session.Right = r.Session.Right, r.Session.Left
	r.Session.Left.Side, r.Session.Right.Side = recording.Left, recording.Right
	for i := range r.Steps {
		r.Steps[i].Side = r.Steps[i].Side.Other()
	}
	for i := range r.Asymmetry.Comparisons {
		c := &r.Asymmetry.Comparisons[i]
		c.First, c.Second = c.First.Other(), c.Second.Other()
	}
	r.Injured, r.Asymmetry.Injured = asymmetry.InjuredLeft, asymmetry.InjuredLeft
	return r
}

func TestSwappedFeetGiveTheMirroredPage(t *testing.T) {
	m := different()
	m.change = func(r *gait.Result) {
		r.Inputs, r.Excerpts, r.Withheld, r.Remarks = nil, nil, nil, nil
		r.Asymmetry.Drifts, r.Asymmetry.Changes = nil, nil
	}
	mirror := strings.NewReplacer("left", "right", "right", "left", "Left", "Right", "Right", "Left")
	a, b := page.Answer(m.result()), page.Answer(swapped(m.result()))
	require.Equal(t, a.Sentence, mirror.Replace(b.Sentence))
	rows := func(r *gait.Result, of func(string) string) []string {
		text := regexp.MustCompile(`data-of="[^"]*"`).ReplaceAllStringFunc(written(t, r), of)
		return regexp.MustCompile(`(?s)<tbody.*?</tbody>`).FindAllString(text, -1)
	}
	same := func(head string) string { return head }
	require.Equal(t, rows(m.result(), same), rows(swapped(m.result()), mirror.Replace), "numbers keep their columns: injured first")
}

func TestOneSideHasNoComparison(t *testing.T) {
	m := different()
	m.change = func(r *gait.Result) { r.Session.Right, r.Asymmetry = nil, nil }
	o := read(t, written(t, m.result()))
	require.NotContains(t, o.text, "Different")
	require.Contains(t, o.text, "other foot was not recorded")
}

func TestLandingIsExplainedWhereTheFeetLandDifferently(t *testing.T) {
	m := different()
	m.change = func(r *gait.Result) { r.Asymmetry.LandDifferently, r.Asymmetry.LandingNote = true, "" }
	o := read(t, written(t, m.result()))
	require.Contains(t, o.headings, "h2 How the feet land")
	require.Contains(t, o.text, page.LandingCaution)
}

func TestManyRemarksAreCutAndCounted(t *testing.T) {
	m := different()
	m.change = func(r *gait.Result) {
		for range 500 {
			r.Remarks = append(r.Remarks, r.Remarks[0])
		}
	}
	require.Contains(t, read(t, written(t, m.result())).text, "302 more are in session.json.")
}

func TestBodyStandsInAnotherPage(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, page.WriteBody(&b, different().result(), "a-"))
	require.NoError(t, page.WriteBody(&b, different().result(), "b-"))
	o := read(t, "<body>"+b.String()+"</body>")
	require.True(t, o.ids["a-help"] && o.ids["b-help"])
	require.NotContains(t, b.String(), "<style")
	require.Contains(t, page.Style(), "--left")
}

func TestAnHourStaysUnderThreeMegabytes(t *testing.T) {
	m := different()
	if m.n = 5000; testing.Short() {
		m.n = 1000 // already thinned
	}
	require.Less(t, len(written(t, m.result())), 3<<20)
}

// An hour: 5,000 steps a side.
func BenchmarkWriteHour(b *testing.B) {
	m := different()
	m.n = 5000
	r := m.result()
	b.ReportAllocs()
	for b.Loop() {
		if err := page.Write(io.Discard, r); err != nil {
			b.Fatal(err)
		}
	}
}
