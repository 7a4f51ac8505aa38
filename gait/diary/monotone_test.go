package diary_test

import (
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/diary"
)

// randomScore is a score that is mostly quiet, at times high, at times missing.
func randomScore(r *rand.Rand) diary.Score {
	switch r.IntN(12) {
	case 0:
		return diary.Score{}
	case 1:
		return score(r.IntN(11))
	}
	return score(r.IntN(3))
}

// randomAnswer is mostly no.
func randomAnswer(r *rand.Rand) diary.Answer {
	switch r.IntN(20) {
	case 0:
		return diary.Unanswered
	case 1:
		return diary.Yes
	}
	return diary.No
}

func randomEntry(r *rand.Rand, ago int) diary.Entry {
	e := run(ago)
	e.Run = r.IntN(8) > 0
	e.During, e.After, e.Morning, e.Stiffness = randomScore(r), randomScore(r), randomScore(r), randomScore(r)
	e.Painkillers, e.FrontOfAnkle, e.TenderSpot, e.LoosenedLaces = randomAnswer(r), randomAnswer(r), randomAnswer(r), randomAnswer(r)
	if r.IntN(30) == 0 {
		e.Slapping = diary.Yes
	}
	if r.IntN(40) == 0 {
		e.Checklist[r.IntN(len(e.Checklist))] = diary.Answer(r.IntN(3))
	}
	e.Note = []string{"", "", "", "calf tight", "no numbness"}[r.IntN(5)]
	e.Minutes = float64(20 + r.IntN(4))
	switch r.IntN(6) {
	case 0:
		e.Minutes, e.Kilometres = 0, float64(3+r.IntN(2))
	case 1:
		e.Kilometres = float64(3 + r.IntN(2))
	}
	return e
}

// randomNote is a version of one of two notes of a session, mostly a quiet one.
func randomNote(r *rand.Rand) diary.Noted {
	return diary.Noted{ID: []string{"a", "b"}[r.IntN(2)], Seq: int64(40 + r.IntN(100)), Date: today.Add(-r.IntN(20)),
		Note: []string{"", "new laces", "no numbness", "the foot went numb"}[r.IntN(4)]}
}

// randomCase is a case near the border of every rule, so that steps matter.
func randomCase(r *rand.Rand) (diary.Person, diary.Log) {
	p, log := person(), diary.Log{}
	if r.IntN(2) == 0 {
		p.Diagnoses = []diary.Diagnosis{tendon()}
	}
	quiet := r.IntN(2) == 0
	for ago := r.IntN(3); ago < 35; ago += 2 + r.IntN(2) {
		e := run(ago)
		if !quiet || r.IntN(10) == 0 {
			e = randomEntry(r, ago)
		}
		log.Entries = append(log.Entries, e)
	}
	for range r.IntN(4) / 2 {
		log.Notes = append(log.Notes, randomNote(r))
		n := randomNote(r)
		log.Exercises = append(log.Exercises, diary.Exercise{ID: "x" + n.ID, Seq: n.Seq, Date: n.Date, Sets: 3, Metres: 10, Pain: score(0), Note: n.Note})
	}
	if r.IntN(3) == 0 {
		log.Releases = []diary.Release{{Seq: int64(60 + r.IntN(60)), On: today.Add(-r.IntN(40)), By: "physiotherapist", SlapKnown: r.IntN(2) == 0}}
	}
	return p, log
}

// raise returns a score that is worse than s, or as bad.
func raise(r *rand.Rand, s diary.Score) diary.Score {
	v, ok := s.Value()
	if !ok {
		return s
	}
	return score(min(10, v+r.IntN(11)))
}

// affirm turns a no into a yes. An open question stays open: answering it is what
// the advice asks for.
func affirm(a *diary.Answer) {
	if *a == diary.No {
		*a = diary.Yes
	}
}

// worsen makes one thing in e worse.
func worsen(r *rand.Rand, e *diary.Entry) {
	switch r.IntN(10) {
	case 0:
		e.During = raise(r, e.During)
	case 1:
		e.After = raise(r, e.After)
	case 2:
		e.Morning = raise(r, e.Morning)
	case 3:
		e.Stiffness = raise(r, e.Stiffness)
	case 4:
		affirm(&e.Painkillers)
	case 5:
		affirm(&e.Slapping)
	case 6:
		e.Checklist[r.IntN(len(e.Checklist))] = diary.Yes
	case 7:
		affirm(&e.FrontOfAnkle)
		affirm(&e.LoosenedLaces)
	case 8:
		affirm(&e.TenderSpot)
	case 9:
		e.Note += " then the foot went numb"
	}
}

// blank takes one field of e back.
func blank(r *rand.Rand, e *diary.Entry) {
	switch r.IntN(14) {
	case 0:
		e.During = diary.Score{}
	case 1:
		e.After = diary.Score{}
	case 2:
		e.Morning = diary.Score{}
	case 3:
		e.Stiffness = diary.Score{}
	case 4:
		e.Painkillers = diary.Unanswered
	case 5:
		e.Slapping = diary.Unanswered
	case 6:
		e.Checklist[r.IntN(len(e.Checklist))] = diary.Unanswered
	case 7:
		e.Checklist = diary.Checklist{}
	case 8:
		e.FrontOfAnkle, e.LoosenedLaces = diary.Unanswered, diary.Unanswered
	case 9:
		e.Minutes = 0
	case 10:
		e.Kilometres = 0
	case 11:
		e.TenderSpot, e.FrontOfAnkle = diary.Unanswered, diary.Unanswered
	case 12:
		e.Run = false
	case 13:
		e.Note = ""
	}
}

// propertyCases is how many random cases each property is tried on; ten times
// as many with SETDOWN_LONG set.
var propertyCases = map[bool]int{false: 1200, true: 12000}[os.Getenv("SETDOWN_LONG") != ""]

// newest returns the newest version of an entry.
func newest(log diary.Log, id string) diary.Entry {
	var out diary.Entry
	for _, e := range log.Entries {
		if e.ID == id && e.Seq >= out.Seq {
			out = e
		}
	}
	return out
}

// notBolder fails if after is bolder than before, in the word or in the running
// that is left.
func notBolder(t *testing.T, before, after diary.Advice, what string, log diary.Log) {
	t.Helper()
	if after.Word > before.Word {
		require.Failf(t, "bolder", "%s: from %s to %s\n%+v\n%+v\n%+v", what, before.Word, after.Word, before.Reasons, after.Reasons, log)
	}
	require.False(t, after.Next.Allowed && !before.Next.Allowed, "%s: from no run to a run\n%+v\n%+v", what, before, after)
	if after.Next.From.After(before.Next.From) {
		return // a later day may leave more room
	}
	require.LessOrEqual(t, after.Next.Minutes, before.Next.Minutes, "%s\n%+v\n%+v", what, before, after)
}

// A correction to a worse value, a blanked field, and a removed entry never
// make the advice bolder, whichever entry it is and in whichever order they come.
func TestNoChangeOfTheLogForTheWorseMakesTheAdviceBolder(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 5))
	seen := map[diary.Word]int{}
	for range propertyCases {
		p, log := randomCase(r)
		before := diary.Advise(p, log, diary.Sensors{}, diary.DefaultRules(), today)
		seen[before.Word]++
		seq := int64(1000)
		for range 3 {
			e := newest(log, log.Entries[r.IntN(len(log.Entries))].ID)
			if e.Removed {
				continue // entering it again would be a new statement
			}
			seq++
			e.Seq = seq
			what := "worse"
			switch r.IntN(4) {
			case 3:
				what = "more running this week"
				if today.Since(e.Date) >= diary.WeekDays || e.Minutes == 0 {
					continue // in an earlier week it is the yardstick
				}
				e.Minutes += float64(r.IntN(60))
			case 0:
				worsen(r, &e)
			case 1:
				what = "blanked"
				blank(r, &e)
			case 2:
				what = "removed"
				e = diary.Entry{ID: e.ID, Seq: seq, Date: e.Date, Removed: true}
			}
			log.Entries = append(log.Entries, e)
			after := diary.Advise(p, log, diary.Sensors{}, diary.DefaultRules(), today)
			notBolder(t, before, after, what, log)
			before = after
		}
	}
	for w := diary.ClinicianFirst; w <= diary.WithinRules; w++ {
		require.Greater(t, seen[w], propertyCases/100, "the random cases hardly ever begin at %s", w)
	}
}

// The same diary with one value worse from the beginning is never judged
// bolder. (Where the week before is itself the yardstick of the tendon rule,
// only the last 7 days are varied: a higher yardstick is the rule's own meaning.)
func TestADiaryWithAWorseEntryIsNeverJudgedBolder(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 5))
	for range propertyCases {
		p, log := randomCase(r)
		before := diary.Advise(p, log, diary.Sensors{}, diary.DefaultRules(), today)
		i := r.IntN(len(log.Entries))
		if len(p.Diagnoses) > 0 && today.Since(log.Entries[i].Date) >= diary.WeekDays {
			continue
		}
		worsen(r, &log.Entries[i])
		after := diary.Advise(p, log, diary.Sensors{}, diary.DefaultRules(), today)
		notBolder(t, before, after, "worse from the beginning", log)
	}
}

// Whatever is never entered for the last 14 days: hold at most, and no run.
func TestWhatIsNeverEnteredAllowsNoRun(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for range propertyCases {
		log := quietLog()
		p := person()
		if r.IntN(2) == 0 {
			p.Diagnoses = []diary.Diagnosis{tendon()}
		}
		e := &log.Entries[r.IntN(5)]
		was := *e
		blank(r, e)
		if *e == was || !e.Run || // a day with pain during and minutes is a run, whatever is ticked
			(len(p.Diagnoses) == 0 && e.Stiffness != was.Stiffness) {
			continue
		}
		a := diary.Advise(p, log, diary.Sensors{}, diary.DefaultRules(), today)
		require.LessOrEqual(t, a.Word, diary.Hold)
		require.False(t, a.Next.Allowed)
	}
}

// Sensors have no way to make the advice bolder: whatever they add, the word
// stays or becomes more careful.
func TestNoSensorResultMakesTheAdviceBolder(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 5))
	for range propertyCases {
		p, log := randomCase(r)
		before := diary.Advise(p, log, diary.Sensors{}, diary.DefaultRules(), today)
		s := diary.Sensors{Worsening: r.IntN(2) == 0}
		for range r.IntN(4) {
			s.Runs = append(s.Runs, today.Add(r.IntN(40)-10-r.IntN(20)))
			n := randomNote(r)
			n.ID += "more"
			log.Notes = append(log.Notes, n)
		}
		notBolder(t, before, diary.Advise(p, log, s, diary.DefaultRules(), today), "sensors", log)
	}
}

// The order in which records stand in the log does not matter.
func TestTheOrderOfTheLogDoesNotMatter(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range propertyCases / 10 {
		p, log := randomCase(r)
		want := diary.Advise(p, log, diary.Sensors{}, diary.DefaultRules(), today)
		r.Shuffle(len(log.Entries), func(i, j int) { log.Entries[i], log.Entries[j] = log.Entries[j], log.Entries[i] })
		r.Shuffle(len(log.Notes), func(i, j int) { log.Notes[i], log.Notes[j] = log.Notes[j], log.Notes[i] })
		require.Equal(t, want, diary.Advise(p, log, diary.Sensors{}, diary.DefaultRules(), today))
	}
}
