package figure_test

import (
	"encoding/xml"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait"
	"setdown/gait/step"
	"setdown/report/figure"
	"setdown/signal/recording"
)

// elements parses an SVG strictly and returns its elements' names and ids.
func elements(t *testing.T, svg string) (names []string, ids []string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return names, ids
		}
		require.NoError(t, err)
		if e, ok := tok.(xml.StartElement); ok {
			names = append(names, e.Name.Local)
			for _, a := range e.Attr {
				require.NotEqual(t, "style", a.Name.Local, "a strict page policy forbids style attributes")
				if a.Name.Local == "id" {
					ids = append(ids, a.Value)
				}
			}
		}
	}
}

func keys(figs []figure.Figure) []string {
	var out []string
	for _, f := range figs {
		out = append(out, f.Key)
	}
	return out
}

// alternative returns the texts that stand in for a picture.
func alternative(t *testing.T, svg string) (title, desc string) {
	t.Helper()
	var doc struct {
		Title string `xml:"title"`
		Desc  string `xml:"desc"`
	}
	require.NoError(t, xml.Unmarshal([]byte(svg), &doc))
	return doc.Title, doc.Desc
}

func TestPicturesOfTwoFeet(t *testing.T) {
	figs := figure.All(invented(200), "")
	require.Equal(t, []string{"lowering-both", "lowering-left", "lowering-right",
		"spread-peak-lowering-rate-deg-s", "spread-time-to-foot-flat-ms",
		"along-peak-lowering-rate-deg-s", "along-time-to-foot-flat-ms", "raw-left", "raw-right"}, keys(figs))
	for _, f := range figs {
		names, ids := elements(t, f.SVG)
		require.Equal(t, []string{"svg", "title", "desc"}, names[:3], f.Key)
		require.Equal(t, []string{"fig-" + f.Key + "-t", "fig-" + f.Key + "-d"}, ids, f.Key)
		require.Regexp(t, `viewBox="0 0 \d+ \d+" role="img" aria-labelledby=`, f.SVG)
		require.NotEmpty(t, f.Alt)
		title, desc := alternative(t, f.SVG)
		require.Equal(t, f.Title, title, "what is read out in the place of the picture")
		require.Equal(t, f.Alt, desc)
		require.True(t, strings.HasSuffix(f.Caption, "."), f.Caption)
	}
}

func TestPicturesShowWhatTheyAreGiven(t *testing.T) {
	figs := figure.All(invented(200), "")
	both := figs[0]
	require.Regexp(t, `left foot, 200 steps: the middle curve is highest with 30\d degrees a second`, both.Alt)
	require.Regexp(t, `right \(injured\) foot, 200 steps: the middle curve is highest with 4\d\d degrees`, both.Alt)
	require.Contains(t, both.Alt, "the foot is flat after 46 ms")
	require.Contains(t, figs[5].Caption, "From about minute 1 on the right foot differs.")
	// 200 thin lines and few others.
	require.InDelta(t, 200, strings.Count(figs[1].SVG, "<path"), 60)
}

func TestStepsWithoutACurveAreCountedButNotDrawn(t *testing.T) {
	r := invented(200)
	for i := range r.Steps {
		if i%8 > 1 {
			r.Steps[i].Curve = nil
		}
	}
	left := figure.All(r, "")[1]
	require.Contains(t, left.Caption, "50 of 200 steps, evenly chosen")
	require.Contains(t, left.Alt, "left foot, 200 steps")
	for i := range r.Steps {
		r.Steps[i].Curve = nil
	}
	require.Equal(t, "spread-peak-lowering-rate-deg-s", figure.All(r, "")[0].Key)
}

func TestMarksAreNamedForWhatTheyStandFor(t *testing.T) {
	caption := func(n int) string { return figure.All(invented(n), "")[3].Caption }
	require.Contains(t, caption(200), "one step in 50;")
	require.Contains(t, caption(20), "Each mark is one step;")
}

func TestColoursComeFromThePage(t *testing.T) {
	for _, f := range figure.All(invented(30), "") {
		for _, m := range regexp.MustCompile(`(?:fill|stroke)="([^"]+)"`).FindAllStringSubmatch(f.SVG, -1) {
			require.Regexp(t, `^(none|var\(--(ink|rule|left|right|quiet),#[0-9a-f]{6}\))$`, m[1], f.Key)
		}
	}
}

func TestSidesDifferByLineAndMarkerToo(t *testing.T) {
	both := figure.All(invented(30), "")[0].SVG
	line := regexp.MustCompile(`<path[^>]*stroke="var\(--(left|right)[^>]*stroke-width="2"[^>]*>`)
	seen := map[string]bool{}
	for _, m := range line.FindAllStringSubmatch(both, -1) {
		require.Equal(t, m[1] == "right", strings.Contains(m[0], "stroke-dasharray"), m[0])
		seen[m[1]] = true
	}
	require.Len(t, seen, 2)
}

func TestPrefixKeepsIdsApart(t *testing.T) {
	seen := map[string]bool{}
	for _, prefix := range []string{"a-", "b-"} {
		for _, f := range figure.All(invented(10), prefix) {
			_, ids := elements(t, f.SVG)
			for _, id := range ids {
				require.False(t, seen[id], id)
				seen[id] = true
			}
		}
	}
}

func TestSameResultGivesTheSamePictures(t *testing.T) {
	require.Equal(t, figure.All(invented(50), ""), figure.All(invented(50), ""))
}

func TestAnHourStaysSmall(t *testing.T) {
	steps := 5000
	if testing.Short() {
		steps = 1000 // already thinned
	}
	total := 0
	for _, f := range figure.All(invented(steps), "") {
		total += len(f.SVG)
	}
	require.Less(t, total, 1_500_000)
	require.Greater(t, total, 100_000)
}

func TestWithoutLoweringLandingAndContactAreShown(t *testing.T) {
	r := invented(40)
	for i := range r.Steps {
		s := &r.Steps[i]
		*s = step.Step{Side: s.Side, Number: s.Number, Used: true, InitialContact: s.InitialContact, FootFlat: nan, ToeOff: s.ToeOff,
			StrideTime: nan, ContactTime: 0.25 + 0.001*float64(i%7), HeelFirst: step.False, StrikeAngle: -0.1 + 0.001*float64(i%5),
			TimeToFootFlat: nan, PeakLoweringRate: nan, FootFlatRate: nan, DecelerationFraction: nan}
	}
	r.Excerpts = nil
	require.Equal(t, []string{"spread-strike-angle-deg", "spread-contact-time-s", "along-strike-angle-deg", "along-contact-time-s"},
		keys(figure.All(r, "")))
}

func TestOneSide(t *testing.T) {
	r := invented(40)
	r.Session.Right, r.Asymmetry, r.Excerpts = nil, nil, r.Excerpts[:1]
	require.Equal(t, []string{"lowering-left", "spread-peak-lowering-rate-deg-s", "spread-time-to-foot-flat-ms",
		"along-peak-lowering-rate-deg-s", "along-time-to-foot-flat-ms", "raw-left"}, keys(figure.All(r, "")))
}

func TestFewOrEqualValuesAreDrawn(t *testing.T) {
	for _, n := range []int{0, 1, 2, 3} {
		r := invented(n)
		for i := range r.Steps {
			r.Steps[i].PeakLoweringRate = 5
		}
		for _, f := range figure.All(r, "") {
			elements(t, f.SVG)
			require.NotContains(t, f.SVG, "NaN", f.Key)
			require.NotContains(t, f.SVG, "Inf", f.Key)
		}
	}
	require.Empty(t, figure.All(&gait.Result{}, ""))
}

func TestNamesInAltTextAreEscaped(t *testing.T) {
	for _, f := range figure.All(invented(5), `"><script>`) {
		elements(t, f.SVG)
		require.NotContains(t, f.SVG, "<script>")
	}
}

// Writes the pictures to the folder in SETDOWN_LOOK, for a person to look at.
func TestLook(t *testing.T) {
	dir := os.Getenv("SETDOWN_LOOK")
	if dir == "" {
		t.Skip("SETDOWN_LOOK names no folder")
	}
	for _, f := range figure.All(invented(200), "") {
		require.NoError(t, os.WriteFile(filepath.Join(dir, f.Key+".svg"), []byte(f.SVG), 0o666))
	}
}

var nan = math.NaN()

func TestTheSignalOfAFootThatIsNotKnownIsNamedSo(t *testing.T) {
	r := invented(30)
	e := excerpt(r, recording.Left)
	e.Side = recording.SideUnknown
	r.Excerpts = []gait.Excerpt{e}
	for _, f := range figure.All(r, "") {
		if f.Group == figure.Raw {
			require.Equal(t, "A few seconds of signal, side not known", f.Title)
			require.Contains(t, f.Alt, "of the foot (side not known) from")
			return
		}
	}
	t.Fatal("no figure of the signal")
}
