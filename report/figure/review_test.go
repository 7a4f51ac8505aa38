package figure_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/gait/diary"
	"setdown/report/figure"
	"setdown/signal/recording"
)

func reviewData() figure.Review {
	day := diary.On(2026, time.May, 4)
	r := figure.Review{Unit: "deg/s", RunUnit: "min", What: "injured − other side", Limit: 2, Today: day.Add(30),
		Breaks: []figure.ReviewBreak{{Date: day.Add(14), Text: "other shoe"}}}
	c := figure.ReviewCourse{Baseline: 200, Change: 60}
	for i := range 5 {
		x := 220 - 30*float64(i)
		c.Points = append(c.Points, figure.ReviewPoint{Date: day.Add(7 * i), Center: x, Low: x - 20, High: x + 20, Pooled: i != 2})
		r.Days = append(r.Days, figure.ReviewDay{Date: day.Add(7 * i), During: 3, After: math.NaN(), Morning: math.NaN(), Run: 25})
	}
	r.Courses = []figure.ReviewCourse{c}
	return r
}

func TestTimelineSaysInWordsWhatItShows(t *testing.T) {
	f, ok := figure.Timeline(reviewData(), "p-")
	require.True(t, ok)
	require.Contains(t, f.Alt, "220 deg/s on 2026-05-04, 100 deg/s on 2026-06-01, days with sessions: 5")
	require.Contains(t, f.Alt, "runs in the diary: 5, highest pain during or just after 3 of 10")
	for _, part := range []string{"<desc", "other shoe", "pain limit 2", "4 May", `id="p-fig-timeline-t"`} {
		require.Contains(t, f.SVG, part)
	}
	require.NotContains(t, f.SVG, "NaN")
	title, desc := alternative(t, f.SVG)
	require.Equal(t, f.Title, title)
	require.Equal(t, f.Alt, desc)
	again, _ := figure.Timeline(reviewData(), "p-")
	require.Equal(t, f, again)
}

func TestTimelineOfNothingIsNotDrawn(t *testing.T) {
	_, ok := figure.Timeline(figure.Review{}, "")
	require.False(t, ok)
	r := reviewData()
	r.Courses = nil
	_, ok = figure.Timeline(r, "")
	require.True(t, ok, "a diary alone")
	r = reviewData()
	r.Days = nil
	_, ok = figure.Timeline(r, "")
	require.True(t, ok, "sessions alone")
}

// With both sides injured there are two courses, told apart by colour and by
// line: the right one is broken.
func TestTimelineTellsSidesApartByColourAndLine(t *testing.T) {
	r := reviewData()
	other := r.Courses[0]
	r.Courses[0].Side, other.Side = recording.Left, recording.Right
	r.Courses = append(r.Courses, other)
	f, ok := figure.Timeline(r, "")
	require.True(t, ok)
	require.Contains(t, f.SVG, "var(--left")
	require.Contains(t, f.SVG, "var(--right")
	require.Contains(t, f.SVG, "stroke-dasharray")
	require.Contains(t, f.Alt, "left foot")
	require.Contains(t, f.Alt, "right foot")
}

func TestOverlaysHaveOnePictureASession(t *testing.T) {
	wave := make([]float64, 41)
	for i := range wave {
		wave[i] = 400 * math.Sin(float64(i)/10)
	}
	all := []figure.ReviewOverlay{{Label: "4 May", Left: wave, Right: wave}, {Label: "11 May", Left: wave}, {Label: "18 May"}, {Label: "25 May", Right: wave}}
	f, ok := figure.Overlays(all, -50, 5, "")
	require.True(t, ok)
	for _, o := range all {
		require.Equal(t, 1, strings.Count(f.SVG, ">"+o.Label+"<"), o.Label)
	}
	require.Contains(t, f.Alt, "4 May, left at most 400 deg/s, right at most 400 deg/s")
	_, ok = figure.Overlays([]figure.ReviewOverlay{{Label: "none"}}, -50, 5, "")
	require.False(t, ok)
}
