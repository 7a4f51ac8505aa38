package diary_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/diary"
)

// advised is the advice of a log for a person without anything that matters.
func advised(log diary.Log) diary.Advice {
	return diary.Advise(person(), log, diary.Sensors{}, diary.DefaultRules(), today)
}

// rules lists the rules that spoke.
func rules(a diary.Advice) []string {
	var out []string
	for _, r := range a.Reasons {
		out = append(out, r.Rule)
	}
	return out
}

// Slapping is known only by a release that says so, with a name and a day that
// is not later than the slapping.
func TestSlappingIsKnownOnlyByAWholeRelease(t *testing.T) {
	known := diary.Release{Seq: 1, On: today.Add(-10), By: "physiotherapist", SlapKnown: true}
	for name, c := range map[string]struct {
		change func(r *diary.Release)
		word   diary.Word
	}{
		"whole":          {func(*diary.Release) {}, diary.Hold},
		"on the day":     {func(r *diary.Release) { r.On = today.Add(-4) }, diary.Hold},
		"a day late":     {func(r *diary.Release) { r.On = today.Add(-3) }, diary.ClinicianFirst},
		"by nobody":      {func(r *diary.Release) { r.By = "" }, diary.ClinicianFirst},
		"without a day":  {func(r *diary.Release) { r.On = diary.Date{} }, diary.ClinicianFirst},
		"of other signs": {func(r *diary.Release) { r.SlapKnown = false }, diary.ClinicianFirst},
	} {
		log := quietLog()
		at(&log, 4, func(e *diary.Entry) { e.Slapping = diary.Yes })
		rel := known
		c.change(&rel)
		log.Releases = []diary.Release{rel}
		require.Equal(t, c.word, advised(log).Word, name)
	}
}

// More running entered for this week counts at once.
func TestACorrectionToMoreRunningCountsThisWeek(t *testing.T) {
	log := quietLog()
	require.Equal(t, diary.WithinRules, advised(log).Word)
	more := run(1)
	more.Seq, more.Minutes = 500, 90
	log.Entries = append(log.Entries, more)
	a := advised(log)
	require.Equal(t, diary.Hold, a.Word)
	require.Contains(t, rules(a), "weekly-rise")
}

func TestARecordedRunNeedsItsPage(t *testing.T) {
	for ago, missing := range map[int]bool{0: true, 2: true, diary.JudgedDays - 1: false, diary.JudgedDays: false, 12: true} {
		log := quietLog() // has a page for 13 days ago, none for today, 2, 12 and 14
		a := diary.Advise(person(), log, diary.Sensors{Runs: []diary.Date{today.Add(-ago)}}, diary.DefaultRules(), today)
		if missing {
			require.Contains(t, rules(a), "missing-pages", ago)
			require.False(t, a.Next.Allowed, ago)
		} else {
			require.NotContains(t, rules(a), "missing-pages", ago)
		}
	}
}

// Looser laces are asked for only where the front of the ankle hurts.
func TestLacesAreAskedForWhereTheAnkleHurts(t *testing.T) {
	log := quietLog()
	at(&log, 4, func(e *diary.Entry) { e.LoosenedLaces = diary.Unanswered })
	require.NotContains(t, rules(advised(log)), "missing-fields")
	at(&log, 4, func(e *diary.Entry) { e.FrontOfAnkle = diary.Yes })
	require.Contains(t, rules(advised(log)), "missing-fields")
	at(&log, 4, func(e *diary.Entry) { e.LoosenedLaces = diary.No })
	require.NotContains(t, rules(advised(log)), "missing-fields")
}

// A full week leaves no run now: the day is named from which there is room, and
// then no more than the word allows.
func TestAFullWeekNamesTheDayWithRoom(t *testing.T) {
	log := quietLog()
	log.Entries = append(log.Entries, run(2), run(3))
	// 1, 2, 3 and 4 days ago: 120 min against 90 in the fullest week before.
	a := advised(log)
	require.Equal(t, diary.Hold, a.Word)
	require.Equal(t, today.Add(3), a.Next.From, "a week after the oldest run of the last six days")
	require.Equal(t, 30.0, a.Next.Minutes)
	at(&log, 2, func(e *diary.Entry) { e.During = score(4) })
	a = advised(log)
	require.Equal(t, diary.StepBack, a.Word)
	require.Equal(t, today.Add(3), a.Next.From)
	require.Equal(t, 15.0, a.Next.Minutes, "half of the last run")
}

// Room that is left in the week bounds the next run.
func TestTheRoomOfTheWeekBoundsTheNextRun(t *testing.T) {
	log := quietLog() // 60 min in the last six days, 90 in the fullest week before: room for 39
	require.Equal(t, 33.0, advised(log).Next.Minutes, "30 min and 10 %")
	at(&log, 4, func(e *diary.Entry) { e.Minutes = 38 })
	require.Equal(t, 31.0, advised(log).Next.Minutes, "99 − 68 min")
}
