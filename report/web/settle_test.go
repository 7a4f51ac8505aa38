package web

import (
	"html"
	"testing"
)

// What the next recording needs must not be guessed where the analysis said why this one
// has no answer.
func TestTheNextRecordingIsToldWhatWasWrongWithThisOne(t *testing.T) {
	a := newApp(t)
	shins := feet(30, 1, 1)
	shins[0].name, shins[1].name = "left_shin.csv", "right_shin.csv"
	page := html.UnescapeString(a.ok(a.computed(newCase("Ann"), shins...)))
	has(t, page, "This recording holds no answer: a shin sensor does not see the foot.")
	lacks(t, page, "needs steps that land on the heel")
}

// A foot given for the other makes every number wrong: that comes before any advice.
func TestADoubtAboutTheFeetComesBeforeTheAdvice(t *testing.T) {
	a := newApp(t)
	both := feet(30, 1, 2)
	both[1].name = "left_again.csv"
	page := html.UnescapeString(a.ok(a.computed(newCase("Bob"), both...)))
	has(t, page, "Look at this first: left_again.csv: was taken as the left foot, as run2-left_foot.csv was")
	lacks(t, page, "needs a sensor on the right foot")
}
