package web

import (
	"bytes"
	"html"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/signal/recording"
)

// slowFeet are both feet in walking at 100 samples a second, which is enough for the
// lowering and too little for the contact peaks.
func slowFeet(t *testing.T, seconds float64) []named {
	s := simulate.Defaults(event.Walking)
	s.Duration, s.Left.Foot.Rate, s.Right.Foot.Rate = seconds, 100, 100
	rec := simulate.Run(s)
	var out []named
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		var b bytes.Buffer
		require.NoError(t, rec.WriteCSV(&b, side, recording.Foot, simulate.Everyday))
		out = append(out, named{simulate.FileName(side, recording.Foot), b.Bytes()})
	}
	return out
}

// A measure that lacks samples says nothing of the main one, which may lack steps.
func TestARateThatIsEnoughForTheMainMeasureIsNotBlamed(t *testing.T) {
	a := newApp(t)
	page := html.UnescapeString(a.ok(a.computed(newCase("Ann"), slowFeet(t, 30)...)))
	has(t, page, "contact peaks withheld: they need at least 200 samples a second")
	has(t, page, "more usable heel-first steps")
	lacks(t, page, "needs 200 samples a second or more")
}

// What the next recording needs must not be guessed where the analysis said why this one
// has no answer.
func TestTheNextRecordingIsToldWhatWasWrongWithThisOne(t *testing.T) {
	a := newApp(t)
	shins := feet(30, 1, 1)
	shins[0].name, shins[1].name = "left_shin.csv", "right_shin.csv"
	page := html.UnescapeString(a.ok(a.computed(newCase("Ann"), shins...)))
	has(t, page, "This recording holds no answer: the sensor is said to be a shin's and rests on the ground as a foot does")
	lacks(t, page, "needs steps that land on the heel")
}

// A foot given for the other makes every number wrong: that comes before any advice.
func TestADoubtAboutTheFeetComesBeforeTheAdvice(t *testing.T) {
	a := newApp(t)
	both := feet(30, 1, 2)
	both[1].name = "left_again.csv"
	fields := newCase("Bob")
	fields.Set("as_given", "yes")
	page := html.UnescapeString(a.ok(a.computed(fields, both...)))
	has(t, page, "Look at this first: left_again.csv: was taken as the left foot, as run2-left_foot.csv was")
	lacks(t, page, "needs a sensor on the right foot")
}
