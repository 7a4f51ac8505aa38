package page_test

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/estimate"
	"setdown/gait/recovery"
	"setdown/gait/step"
	"setdown/report/page"
)

var reviewDay = diary.On(2026, time.May, 31)

// reviewOf is a case with a name that tries to be markup.
func reviewOf(log diary.Log) page.Review {
	const name = `<script>alert("x")</script>`
	p := diary.Person{Age: 30, AgeOn: reviewDay, Diagnoses: []diary.Diagnosis{{Name: name, Kind: diary.Tendon, By: name, On: reviewDay}}}
	r := page.Review{Name: name, Injured: asymmetry.InjuredLeft, Onset: reviewDay, Person: p, Log: log, Remarks: name, Made: "setdown test"}
	v := recovery.Value{N: 100, Center: 8, Low: 7, High: 9}
	for i := range 3 {
		r.Sessions = append(r.Sessions, page.ReviewSession{Note: name, Left: make([]float64, 61), Session: recovery.Session{ID: string(rune('a' + i)),
			Date: reviewDay.Add(i - 9), Method: "1", UsedLeft: 100, UsedRight: 100, Conditions: recovery.Conditions{Shoe: name},
			Measures: map[string]recovery.Measure{"peak_lowering_rate_deg_s": {Left: v, Right: v, Difference: v}}}})
	}
	var in []recovery.Session
	for _, s := range r.Sessions {
		in = append(in, s.Session)
	}
	r.Follow = recovery.Follow(in, r.Injured)
	r.Advice = diary.Advise(p, log, diary.Sensors{}, diary.DefaultRules(), reviewDay)
	r.Next = diary.NextExercises(log, r.Advice, diary.DefaultRules(), reviewDay)
	return r
}

func flagged() diary.Log {
	e := diary.Entry{ID: "1", Seq: 1, Date: reviewDay, Run: true, Minutes: 20, Note: `<img src="x">`}
	e.Checklist[diary.FootCannotBeLifted] = diary.Yes
	return diary.Log{Entries: []diary.Entry{e}}
}

// wellFormed fails unless the page reads as XML: every tag closed, every
// attribute quoted.
func wellFormed(t *testing.T, doc []byte) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(doc))
	d.Entity = xml.HTMLEntity
	for {
		if _, err := d.Token(); err == io.EOF {
			return
		} else if err != nil {
			require.NoError(t, err)
		}
	}
}

func TestReviewAndLetterCarryTheCautionsAndEscapeNames(t *testing.T) {
	for _, log := range []diary.Log{{}, flagged()} {
		r := reviewOf(log)
		var review, letter bytes.Buffer
		require.NoError(t, page.WriteReview(&review, r))
		require.NoError(t, page.WriteLetter(&letter, page.Letter{Review: r, On: reviewDay, By: r.Name, To: r.Name, Note: r.Name}))
		for _, doc := range []string{review.String(), letter.String()} {
			wellFormed(t, []byte(doc))
			require.NotContains(t, doc, "<script")
			require.NotContains(t, doc, "<img")
			require.NotContains(t, doc, "http://www.example")
			require.Contains(t, doc, "numbers alone never clear a return to running")
			require.Contains(t, doc, "Pain rules made for tendons do not apply to bone")
			require.Contains(t, doc, "Local rules and licensed practitioners come first")
			for _, c := range page.Cautions() {
				require.Contains(t, doc, c.When)
			}
		}
	}
}

// The first heading is the answer, in the advice's own word.
func TestReviewBeginsWithTheAnswer(t *testing.T) {
	heading := func(log diary.Log) string {
		var b bytes.Buffer
		require.NoError(t, page.WriteReview(&b, reviewOf(log)))
		_, rest, _ := strings.Cut(b.String(), "<h1>")
		h, _, _ := strings.Cut(rest, "</h1>")
		return h
	}
	require.Equal(t, "Clinician first: a clinician the same day.", heading(flagged()))
	require.Equal(t, "Hold: something is missing before the next run.", heading(diary.Log{}))
}

func TestReviewIsTheSameBytesAgain(t *testing.T) {
	var a, b bytes.Buffer
	require.NoError(t, page.WriteReview(&a, reviewOf(flagged())))
	require.NoError(t, page.WriteReview(&b, reviewOf(flagged())))
	require.Equal(t, a.String(), b.String())
}

func TestReviewBodiesCanStandTogether(t *testing.T) {
	var a, b bytes.Buffer
	require.NoError(t, page.WriteReviewBody(&a, reviewOf(flagged()), "one-"))
	require.NoError(t, page.WriteReviewBody(&b, reviewOf(flagged()), "two-"))
	require.Contains(t, a.String(), `id="one-fig-timeline-t"`)
	require.Contains(t, b.String(), `id="two-fig-timeline-t"`)
	require.NotContains(t, a.String(), "<html")
}

// words returns the text of a page.
func words(t *testing.T, doc []byte) string {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(doc))
	d.Entity = xml.HTMLEntity
	var out strings.Builder
	skip := ""
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return out.String()
		}
		require.NoError(t, err)
		switch x := tok.(type) {
		case xml.StartElement:
			if x.Name.Local == "style" {
				skip = "style"
			}
		case xml.EndElement:
			skip = ""
			out.WriteString(" ")
		case xml.CharData:
			if skip == "" {
				out.Write(x)
			}
		}
	}
}

// A letter is for a colleague: it speaks of the runner and never to them, and
// counts one as one.
// With an empty diary the review says "do not run": the letter must not allow as
// much as the last run.
func TestALetterAllowsNoRunWhereTheReviewDoesNot(t *testing.T) {
	r := reviewOf(diary.Log{})
	require.False(t, r.Advice.Next.Allowed)
	var letter bytes.Buffer
	require.NoError(t, page.WriteLetter(&letter, page.Letter{Review: r, On: reviewDay, By: "physio"}))
	require.Contains(t, letter.String(), "no run until what is missing is entered")
	require.NotContains(t, letter.String(), "no more running than last time")
}

func TestALetterSpeaksOfTheRunner(t *testing.T) {
	quiet := func(e diary.Entry) diary.Entry {
		zero, err := diary.Scored(0)
		require.NoError(t, err)
		e.During, e.After, e.Morning = zero, zero, zero
		e.Painkillers, e.Slapping, e.FrontOfAnkle = diary.No, diary.No, diary.No
		for i := range e.Checklist {
			e.Checklist[i] = diary.No
		}
		return e
	}
	day := func(ago int) diary.Entry {
		return quiet(diary.Entry{ID: "e", Seq: 1, Date: reviewDay.Add(-ago), Run: true, Minutes: 20})
	}
	slap := day(1)
	slap.Slapping, slap.Painkillers = diary.Yes, diary.Yes
	well := diary.Person{Age: 30, AgeOn: reviewDay, Diabetes: diary.No, ReducedFeeling: diary.No, EarlierBoneStress: diary.No, LowEnergyIntake: diary.No,
		MissedPeriods: diary.No, CautionsRead: reviewDay}
	ill := well
	ill.Diabetes, ill.MissedPeriods = diary.Yes, diary.Yes
	for name, c := range map[string]struct {
		log    diary.Log
		person diary.Person
	}{"nothing": {diary.Log{}, diary.Person{}}, "red flag": {flagged(), well}, "slapping": {diary.Log{Entries: []diary.Entry{slap}}, well},
		"person": {diary.Log{Entries: []diary.Entry{day(2)}}, ill}, "quiet": {diary.Log{Entries: []diary.Entry{day(2)}}, well}} {
		r := reviewOf(c.log)
		r.Name, r.Remarks, r.Person, r.Sessions = "wren", "", c.person, r.Sessions[:1]
		r.Advice = diary.Advise(c.person, c.log, diary.Sensors{}, diary.DefaultRules(), reviewDay)
		r.Next = diary.NextExercises(c.log, r.Advice, diary.DefaultRules(), reviewDay)
		var b bytes.Buffer
		require.NoError(t, page.WriteLetter(&b, page.Letter{Review: r, On: reviewDay}))
		text := words(t, b.Bytes())
		require.NotRegexp(t, `(?i)\byou(r|rs|rself)?\b`, text, name)
		require.NotRegexp(t, `\b1 (sessions|runs|days)\b`, text, name)
		require.Contains(t, text, "1 session with foot sensors on 22 May 2026", name)
		require.Contains(t, text, "By the pain rules, as of 31 May 2026:", name)
	}
}

// falling is a case of eight like sessions whose difference falls by total deg/s.
func falling(total float64) page.Review {
	r := reviewOf(diary.Log{})
	r.Sessions = nil
	speed, rad := 2.8, math.Pi/180
	value := func(x, half float64) recovery.Value {
		return recovery.ValueOf(estimate.Estimate{N: 200, Center: x, Low: x - half, High: x + half})
	}
	both := func(x float64) recovery.Measure {
		return recovery.Measure{Left: value(x, 0), Right: value(x, 0), Difference: value(0, 0)}
	}
	var in []recovery.Session
	for i := range 8 {
		left := 500 - total*float64(max(0, min(i-2, 3)))/3
		s := recovery.Session{ID: string(rune('a' + i)), Date: reviewDay.Add(7 * (i - 8)), Method: "1", UsedLeft: 200, UsedRight: 200,
			Conditions: recovery.Conditions{Shoe: "grey", Surface: "road", SpeedMPS: &speed},
			Measures: map[string]recovery.Measure{"strike_angle_deg": both(18 * rad), step.HeelFirstKey: both(1),
				step.Primary: {Left: value(left*rad, rad), Right: value(300*rad, rad), Difference: value((left-300)*rad, rad)}}}
		in = append(in, s)
		r.Sessions = append(r.Sessions, page.ReviewSession{Session: s})
	}
	r.Follow = recovery.Follow(in, r.Injured)
	return r
}

// Medians of days tell a smaller change than two single sessions would: the page
// must not seem to call one found that it says cannot be.
func TestAnImprovementIsNotContradictedByWhatSingleSessionsMayDiffer(t *testing.T) {
	found := 0
	for total := 20.0; total < 160; total += 2 {
		r := falling(total)
		c := r.Follow.Primary[0]
		if r.Follow.Word != recovery.ControlImproving || -float64(c.Change.Center) >= c.Noise.MDC() {
			continue
		}
		found++
		var b bytes.Buffer
		require.NoError(t, page.WriteReview(&b, r))
		text := words(t, b.Bytes())
		require.NotContains(t, text, "etectable")
		require.Regexp(t, `Single sessions two may differ by up to \d+ deg/s without any change of control; the change above is between medians of several days, which scatter less`, text)
		require.Contains(t, text, "can take a single session")
	}
	require.NotZero(t, found, "no course has the change that is meant")
}

func TestTheNumbersOfAChangeHaveTheirUnitAndNoChanceIsNought(t *testing.T) {
	r := falling(150)
	r.Follow.Primary[0].TrendP = 0.0004
	var b bytes.Buffer
	require.NoError(t, page.WriteReview(&b, r))
	text := words(t, b.Bytes())
	for _, want := range []string{`Baseline [+−]\d+ deg/s \(median`, `Now [+−]\d+ deg/s \(median`, `Change −\d+ deg/s \(95 % interval −\d+ to −\d+, 8 days\)`,
		`Trend −\d+ deg/s a week \(−\d+ to −\d+; Theil–Sen\); Mann–Kendall p below 0\.001`} {
		require.Regexp(t, want, text)
	}
	r.Follow.Primary[0].TrendP = 0.013
	b.Reset()
	require.NoError(t, page.WriteReview(&b, r))
	require.Contains(t, words(t, b.Bytes()), "Mann–Kendall p 0.013")
}

// What every session says must not push out what one says: a doubt about the sides
// of the newest would be gone from a page that builds on it.
func TestARemarkOfAllSessionsDoesNotHideThatOfOne(t *testing.T) {
	r := falling(150)
	for i := range r.Sessions {
		r.Sessions[i].Remarks = []string{"the clocks were joined"}
		for _, part := range []string{"loss", "gap"} {
			r.Sessions[i].Remarks = append(r.Sessions[i].Remarks, part+" of session "+r.Sessions[i].ID)
		}
	}
	r.Sessions[7].Remarks = append(r.Sessions[7].Remarks, "given as the left side, but its name says right")
	var b bytes.Buffer
	require.NoError(t, page.WriteReview(&b, r))
	text := words(t, b.Bytes())
	require.Contains(t, text, "24 May 2026: given as the left side, but its name says right")
	require.Contains(t, text, "8 sessions: the clocks were joined")
	require.Equal(t, 1, strings.Count(text, "the clocks were joined"))
	require.Less(t, strings.Index(text, "24 May 2026: given"), strings.Index(text, "17 May 2026: loss of session g"), "the newest first")
}

func TestASessionThatIsShownApartIsNamedByItsDay(t *testing.T) {
	r := falling(150)
	r.Follow.Apart = []recovery.Apart{{Session: "h", Because: "0 used steps on one side"}}
	var b bytes.Buffer
	require.NoError(t, page.WriteReview(&b, r))
	require.Contains(t, words(t, b.Bytes()), "The session of 24 May 2026 is shown apart: 0 used steps on one side.")
}
