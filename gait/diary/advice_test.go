package diary_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/gait/diary"
)

var today = diary.On(2026, time.May, 31)

func score(v int) diary.Score {
	s, err := diary.Scored(v)
	if err != nil {
		panic(err)
	}
	return s
}

// person is a first-visit form filled in without anything that matters.
func person() diary.Person {
	return diary.Person{Age: 34, AgeOn: today.Add(-60), Diabetes: diary.No, ReducedFeeling: diary.No, EarlierBoneStress: diary.No,
		LowEnergyIntake: diary.No, MissedPeriods: diary.No, CautionsRead: today.Add(-60)}
}

// run is a quiet run of 30 minutes, ago days before today, with nothing missing.
func run(ago int) diary.Entry {
	return diary.Entry{ID: fmt.Sprintf("run-%02d", ago), Seq: int64(100 - ago), Date: today.Add(-ago), Run: true,
		During: score(1), After: score(1), Morning: score(0), Stiffness: score(1), Painkillers: diary.No, Slapping: diary.No,
		FrontOfAnkle: diary.No, TenderSpot: diary.No, LoosenedLaces: diary.No, Checklist: diary.Filled(diary.No), Minutes: 30}
}

// quietLog is four weeks of a quiet run every third day.
func quietLog() diary.Log {
	var log diary.Log
	for ago := 1; ago < diary.LoadDays; ago += 3 {
		log.Entries = append(log.Entries, run(ago))
	}
	return log
}

// exercised is a heel walk with this pain, ago days before today.
func exercised(ago, pain int) []diary.Exercise {
	return []diary.Exercise{{ID: "walk", Seq: int64(200 - pain), Date: today.Add(-ago), Sets: 3, Metres: 10, Pain: score(pain)}}
}

func tendon() diary.Diagnosis {
	return diary.Diagnosis{Name: "tendinopathy of the front shin muscle", Kind: diary.Tendon, By: "physiotherapist", On: today.Add(-40)}
}

// at changes the entry of ago days back.
func at(log *diary.Log, ago int, change func(e *diary.Entry)) {
	for i := range log.Entries {
		if log.Entries[i].Date == today.Add(-ago) {
			change(&log.Entries[i])
			return
		}
	}
	panic("no such entry")
}

func TestAdviceByRule(t *testing.T) {
	type setup struct {
		p       diary.Person
		log     diary.Log
		sensors diary.Sensors
	}
	each := func(log *diary.Log, change func(e *diary.Entry)) {
		for i := range log.Entries {
			change(&log.Entries[i])
		}
	}
	cases := []struct {
		name   string
		change func(s *setup)
		word   diary.Word
		tier   diary.Tier
		rule   string
	}{
		{"four quiet weeks with everything entered", func(*setup) {}, diary.WithinRules, 0, "within"},
		{"pain at the limit", func(s *setup) { at(&s.log, 1, func(e *diary.Entry) { e.During = score(2) }) }, diary.WithinRules, 0, "within"},
		{"pain during over 2 this week", func(s *setup) { at(&s.log, 4, func(e *diary.Entry) { e.During = score(3) }) }, diary.StepBack, 0, "over-limit"},
		{"pain just after over 2 this week", func(s *setup) { at(&s.log, 4, func(e *diary.Entry) { e.After = score(3) }) }, diary.StepBack, 0, "over-limit"},
		{"pain next morning over 2 this week", func(s *setup) { at(&s.log, 4, func(e *diary.Entry) { e.Morning = score(3) }) }, diary.StepBack, 0, "over-limit"},
		{"pain over 2 the week before", func(s *setup) { at(&s.log, 10, func(e *diary.Entry) { e.During = score(3) }) }, diary.Hold, 0, "over-limit"},
		{"pain over 2 three times in four weeks", func(s *setup) {
			for _, ago := range []int{16, 19, 22} {
				at(&s.log, ago, func(e *diary.Entry) { e.After = score(3) })
			}
		}, diary.ClinicianFirst, diary.BeforeNextRun, "over-limit-often"},
		{"severe pain after a night although the checklist says no", func(s *setup) { at(&s.log, 25, func(e *diary.Entry) { e.Morning = score(7) }) },
			diary.ClinicianFirst, diary.SameDay, "severe-after-night"},
		{"pain of 7 during a run although the checklist says no", func(s *setup) { at(&s.log, 25, func(e *diary.Entry) { e.During = score(7) }) },
			diary.ClinicianFirst, diary.BeforeNextRun, "severe-pain"},
		{"pain of 7 just after, released by a clinician", func(s *setup) {
			at(&s.log, 25, func(e *diary.Entry) { e.After = score(7) })
			s.log.Releases = []diary.Release{{Seq: 900, On: today.Add(-20), By: "physiotherapist"}}
		}, diary.WithinRules, 0, "within"},
		{"pain of 8 with an exercise", func(s *setup) { s.log.Exercises = exercised(2, 8) }, diary.ClinicianFirst, diary.BeforeNextRun, "severe-pain"},
		{"pain of 3 with an exercise", func(s *setup) { s.log.Exercises = exercised(2, 3) }, diary.Hold, 0, "exercise-pain"},
		{"pain of 3 with an exercise that was corrected to 0", func(s *setup) { s.log.Exercises = append(exercised(2, 3), exercised(2, 0)...) }, diary.Hold, 0, "exercise-pain"},
		{"pain of 3 with an exercise last week", func(s *setup) { s.log.Exercises = exercised(8, 3) }, diary.WithinRules, 0, "within"},
		{"a spot that hurts when pressed", func(s *setup) { at(&s.log, 4, func(e *diary.Entry) { e.TenderSpot = diary.Yes }) }, diary.Hold, 0, "tender-spot"},
		{"stiffness of 7 without the tendon rule", func(s *setup) { at(&s.log, 4, func(e *diary.Entry) { e.Stiffness = score(7) }) }, diary.Hold, 0, "severe-stiffness"},
		{"a sign in a note", func(s *setup) { at(&s.log, 4, func(e *diary.Entry) { e.Note = "the foot went numb" }) }, diary.Hold, 0, "note"},
		{"a sign in a note of three weeks ago", func(s *setup) { at(&s.log, 19, func(e *diary.Entry) { e.Note = "the foot went numb" }) }, diary.WithinRules, 0, "within"},
		{"painkillers taken", func(s *setup) { at(&s.log, 13, func(e *diary.Entry) { e.Painkillers = diary.Yes }) }, diary.Hold, 0, "painkillers"},
		{"painkillers two weeks ago", func(s *setup) { at(&s.log, 16, func(e *diary.Entry) { e.Painkillers = diary.Yes }) }, diary.WithinRules, 0, "within"},
		{"slapping that nobody has examined", func(s *setup) { at(&s.log, 22, func(e *diary.Entry) { e.Slapping = diary.Yes }) },
			diary.ClinicianFirst, diary.SameDay, "slap-unexamined"},
		{"slapping that the clinician knows of", func(s *setup) {
			at(&s.log, 1, func(e *diary.Entry) { e.Slapping = diary.Yes })
			s.log.Releases = []diary.Release{{Seq: 1, On: today.Add(-40), By: "physiotherapist", SlapKnown: true}}
		}, diary.Hold, 0, "slap-known"},
		{"diabetes", func(s *setup) { s.p.Diabetes = diary.Yes }, diary.Hold, 0, "diabetes"},
		{"reduced feeling", func(s *setup) { s.p.ReducedFeeling = diary.Yes }, diary.Hold, 0, "reduced-feeling"},
		{"under 18", func(s *setup) { s.p.Age = 17 }, diary.Hold, 0, "under-18"},
		{"17 four hundred days ago", func(s *setup) { s.p.Age, s.p.AgeOn = 17, today.Add(-400) }, diary.WithinRules, 0, "within"},
		{"earlier bone stress", func(s *setup) { s.p.EarlierBoneStress = diary.Yes }, diary.Hold, 0, "earlier-bone-stress"},
		{"low energy intake", func(s *setup) { s.p.LowEnergyIntake = diary.Yes }, diary.Hold, 0, "low-energy"},
		{"missed periods", func(s *setup) { s.p.MissedPeriods = diary.Yes }, diary.Hold, 0, "missed-periods"},
		{"a bone diagnosis without a release", func(s *setup) {
			s.p.Diagnoses = []diary.Diagnosis{{Name: "stress reaction of the shin bone", Kind: diary.Bone, By: "physician", On: today.Add(-30)}}
		}, diary.ClinicianFirst, diary.BeforeNextRun, "bone"},
		{"a bone diagnosis with nothing else filled in", func(s *setup) { s.p.Diagnoses = []diary.Diagnosis{{Name: "bone", Kind: diary.Bone}} },
			diary.ClinicianFirst, diary.BeforeNextRun, "bone"},
		{"a foot graded 2 of 5", func(s *setup) { s.p.LiftStrength, s.p.LiftStrengthOn = score(2), today.Add(-30) },
			diary.ClinicianFirst, diary.SameDay, "lift-strength"},
		{"a foot graded 4 of 5", func(s *setup) { s.p.LiftStrength, s.p.LiftStrengthOn = score(4), today.Add(-30) }, diary.WithinRules, 0, "within"},
		{"sensors find worsening", func(s *setup) { s.sensors.Worsening = true }, diary.Hold, 0, "control-worsening"},
		{"a recorded run without a page", func(s *setup) { s.sensors.Runs = []diary.Date{today.Add(-2)} }, diary.Hold, 0, "missing-pages"},
		{"a recorded run with its page", func(s *setup) { s.sensors.Runs = []diary.Date{today.Add(-1)} }, diary.WithinRules, 0, "within"},
		{"no diary at all", func(s *setup) { s.log = diary.Log{} }, diary.Hold, 0, "missing-pages"},
		{"last entry eight days old", func(s *setup) { s.log.Entries = s.log.Entries[3:] }, diary.Hold, 0, "missing-pages"},
		{"an entry from the future", func(s *setup) { s.log.Entries = append(s.log.Entries, run(-2)) }, diary.Hold, 0, "missing-pages"},
		{"a week that grew too much", func(s *setup) { at(&s.log, 1, func(e *diary.Entry) { e.Minutes = 80 }) }, diary.Hold, 0, "weekly-rise"},
		{"the first week of running", func(s *setup) { s.log.Entries = s.log.Entries[:2] }, diary.Hold, 0, "first-week"},
		{"minutes for some, distance for others", func(s *setup) {
			at(&s.log, 1, func(e *diary.Entry) { e.Minutes, e.Kilometres = 0, 5 })
		}, diary.Hold, 0, "uncounted-running"},
		{"distance throughout", func(s *setup) { each(&s.log, func(e *diary.Entry) { e.Minutes, e.Kilometres = 0, 5 }) }, diary.WithinRules, 0, "within"},
		{"a day without a run, all answered", func(s *setup) {
			e := run(0)
			e.ID, e.Run, e.During, e.After, e.Minutes = "day", false, diary.Score{}, diary.Score{}, 0
			s.log.Entries = append(s.log.Entries, e)
		}, diary.WithinRules, 0, "within"},
		{"said to be no run, but minutes are there and pain is not", func(s *setup) {
			e := run(0)
			e.ID, e.Run, e.During, e.After = "odd", false, diary.Score{}, diary.Score{}
			s.log.Entries = append(s.log.Entries, e)
		}, diary.Hold, 0, "missing-fields"},
		{"two pages for one day, one of them bad", func(s *setup) {
			e := run(1)
			e.ID, e.After, e.Minutes = "again", score(6), 1
			s.log.Entries = append(s.log.Entries, e)
		}, diary.StepBack, 0, "over-limit"},
		{"no and yes to one symptom on one day", func(s *setup) {
			e := run(1)
			e.ID, e.Minutes = "again", 1
			e.Checklist[diary.BoneSpot] = diary.Yes
			s.log.Entries = append(s.log.Entries, e)
		}, diary.ClinicianFirst, diary.BeforeNextRun, "red-flag"},
		{"looser laces did not help twice", func(s *setup) {
			for _, ago := range []int{4, 1} {
				at(&s.log, ago, func(e *diary.Entry) { e.FrontOfAnkle, e.LoosenedLaces = diary.Yes, diary.Yes })
			}
		}, diary.ClinicianFirst, diary.BeforeNextRun, "laces-did-not-help"},

		{"tendon rule: 5 during and just after, settled, no rise", func(s *setup) {
			s.p.Diagnoses = []diary.Diagnosis{tendon()}
			each(&s.log, func(e *diary.Entry) { e.During, e.After = score(5), score(5) })
		}, diary.WithinRules, 0, "within"},
		{"tendon rule: 6 during", func(s *setup) {
			s.p.Diagnoses = []diary.Diagnosis{tendon()}
			at(&s.log, 1, func(e *diary.Entry) { e.During = score(6) })
		}, diary.StepBack, 0, "over-limit"},
		{"tendon rule: not settled by the morning", func(s *setup) {
			s.p.Diagnoses = []diary.Diagnosis{tendon()}
			at(&s.log, 1, func(e *diary.Entry) { e.Morning = score(3) })
		}, diary.StepBack, 0, "over-limit"},
		{"tendon rule: pain rises from week to week", func(s *setup) {
			s.p.Diagnoses = []diary.Diagnosis{tendon()}
			at(&s.log, 1, func(e *diary.Entry) { e.During = score(4) })
		}, diary.Hold, 0, "weekly-rise-of-pain"},
		{"tendon rule: stiffness rises from week to week", func(s *setup) {
			s.p.Diagnoses = []diary.Diagnosis{tendon()}
			at(&s.log, 1, func(e *diary.Entry) { e.Stiffness = score(2) })
		}, diary.Hold, 0, "weekly-rise-of-pain"},
		{"tendon rule: stiffness not entered", func(s *setup) {
			s.p.Diagnoses = []diary.Diagnosis{tendon()}
			at(&s.log, 1, func(e *diary.Entry) { e.Stiffness = diary.Score{} })
		}, diary.Hold, 0, "missing-fields"},
		{"tendon rule refused: diagnosis without a name behind it", func(s *setup) {
			d := tendon()
			d.By = ""
			s.p.Diagnoses = []diary.Diagnosis{d}
			each(&s.log, func(e *diary.Entry) { e.During = score(4) })
		}, diary.ClinicianFirst, diary.BeforeNextRun, "over-limit-often"},
		{"tendon rule refused: diagnosis dated tomorrow", func(s *setup) {
			d := tendon()
			d.On = today.Add(1)
			s.p.Diagnoses = []diary.Diagnosis{d}
			at(&s.log, 1, func(e *diary.Entry) { e.During = score(4) })
		}, diary.StepBack, 0, "over-limit"},
		{"tendon rule refused: earlier bone stress", func(s *setup) {
			s.p.Diagnoses, s.p.EarlierBoneStress = []diary.Diagnosis{tendon()}, diary.Yes
			at(&s.log, 1, func(e *diary.Entry) { e.During = score(4) })
		}, diary.StepBack, 0, "over-limit"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := setup{person(), quietLog(), diary.Sensors{}}
			c.change(&s)
			a := diary.Advise(s.p, s.log, s.sensors, diary.DefaultRules(), today)
			require.Equal(t, c.word, a.Word, "%+v", a.Reasons)
			require.Equal(t, c.tier, a.Tier)
			i := slices.IndexFunc(a.Reasons, func(r diary.Reason) bool { return r.Rule == c.rule })
			require.GreaterOrEqual(t, i, 0, "the rule %s is not among %+v", c.rule, a.Reasons)
			require.NotEmpty(t, a.Reasons[i].Text)
			if c.word == diary.ClinicianFirst {
				require.False(t, a.Next.Allowed)
			}
		})
	}
}

// Each required field that is not entered, on any of the last 14 days, allows
// hold at most, says what is missing, and no run until it is there.
func TestEachMissingFieldHolds(t *testing.T) {
	fields := map[string]func(e *diary.Entry){
		"pain during":           func(e *diary.Entry) { e.During = diary.Score{} },
		"pain just after":       func(e *diary.Entry) { e.After = diary.Score{} },
		"pain next morning":     func(e *diary.Entry) { e.Morning = diary.Score{} },
		"painkillers":           func(e *diary.Entry) { e.Painkillers = diary.Unanswered },
		"slapping":              func(e *diary.Entry) { e.Slapping = diary.Unanswered },
		"front of the ankle":    func(e *diary.Entry) { e.FrontOfAnkle = diary.Unanswered },
		"minutes or distance":   func(e *diary.Entry) { e.Minutes = 0 },
		"the checklist":         func(e *diary.Entry) { e.Checklist = diary.Checklist{} },
		"questions of the chec": func(e *diary.Entry) { e.Checklist[diary.SwollenCalf] = diary.Unanswered },
	}
	for want, blank := range fields {
		for _, ago := range []int{1, 4, 7, 10, 13} {
			log := quietLog()
			at(&log, ago, blank)
			a := diary.Advise(person(), log, diary.Sensors{}, diary.DefaultRules(), today)
			require.Equal(t, diary.Hold, a.Word, "%s, %d days ago", want, ago)
			require.False(t, a.Next.Allowed)
			found := slices.ContainsFunc(a.Reasons, func(r diary.Reason) bool {
				return r.Missing && len(r.Entries) == 1 && r.Entries[0].Date == today.Add(-ago)
			})
			if want != "minutes or distance" {
				require.True(t, found)
				require.Contains(t, a.Reasons[0].Text, want)
			}
		}
	}
}

func TestEachMissingAnswerOfTheFormHolds(t *testing.T) {
	for i, blank := range []func(p *diary.Person){
		func(p *diary.Person) { p.AgeOn = diary.Date{} },
		func(p *diary.Person) { p.Diabetes = diary.Unanswered },
		func(p *diary.Person) { p.ReducedFeeling = diary.Unanswered },
		func(p *diary.Person) { p.EarlierBoneStress = diary.Unanswered },
		func(p *diary.Person) { p.LowEnergyIntake = diary.Unanswered },
		func(p *diary.Person) { p.MissedPeriods = diary.Unanswered },
		func(p *diary.Person) { p.CautionsRead = diary.Date{} },
	} {
		p := person()
		blank(&p)
		a := diary.Advise(p, quietLog(), diary.Sensors{}, diary.DefaultRules(), today)
		require.Equal(t, diary.Hold, a.Word, "%d", i)
		require.Equal(t, "missing-form", a.Reasons[0].Rule)
	}
}

// Every symptom, however old, sends to the clinician with its own tier, and
// only a release that could have known of it lifts that.
func TestRedFlagsStayUntilReleased(t *testing.T) {
	for s, q := range diary.Symptoms {
		log := quietLog()
		at(&log, 25, func(e *diary.Entry) { e.Checklist[s] = diary.Yes })
		advise := func(rs ...diary.Release) diary.Advice {
			l := log
			l.Releases = rs
			return diary.Advise(person(), l, diary.Sensors{}, diary.DefaultRules(), today)
		}
		a := advise()
		require.Equal(t, diary.ClinicianFirst, a.Word, q.Key)
		require.Equal(t, q.Tier, a.Tier, q.Key)
		require.Equal(t, today.Add(-25), a.Reasons[0].Entries[0].Date)
		require.False(t, a.Next.Allowed)

		ok := diary.Release{Seq: 200, On: today.Add(-25), By: "physician"}
		require.Equal(t, diary.WithinRules, advise(ok).Word, "released the same day")
		for name, change := range map[string]func(r *diary.Release){
			"without a name":                func(r *diary.Release) { r.By = "" },
			"without a date":                func(r *diary.Release) { r.On = diary.Date{} },
			"dated tomorrow":                func(r *diary.Release) { r.On = today.Add(1) },
			"dated before the flag":         func(r *diary.Release) { r.On = today.Add(-26) },
			"recorded before the flag":      func(r *diary.Release) { r.Seq = 1 },
			"recorded together, not after ": func(r *diary.Release) { r.Seq = 75 },
		} {
			r := ok
			change(&r)
			require.Equal(t, diary.ClinicianFirst, advise(r).Word, name)
		}
	}
}

func TestLacesHintOnlyUnderItsConditions(t *testing.T) {
	hint := func(change func(log *diary.Log)) string {
		log := quietLog()
		at(&log, 1, func(e *diary.Entry) { e.FrontOfAnkle = diary.Yes })
		change(&log)
		return diary.Advise(person(), log, diary.Sensors{}, diary.DefaultRules(), today).Laces
	}
	require.NotEmpty(t, hint(func(*diary.Log) {}))
	for name, change := range map[string]func(e *diary.Entry){
		"a spot is tender":        func(e *diary.Entry) { e.TenderSpot = diary.Yes },
		"tenderness not asked":    func(e *diary.Entry) { e.TenderSpot = diary.Unanswered },
		"a question left open":    func(e *diary.Entry) { e.Checklist[diary.DarkUrine] = diary.Unanswered },
		"a question answered yes": func(e *diary.Entry) { e.Checklist[diary.NightOrRestPain] = diary.Yes },
		"the front does not hurt": func(e *diary.Entry) { e.FrontOfAnkle = diary.No },
	} {
		require.Empty(t, hint(func(log *diary.Log) { at(log, 1, change) }), name)
	}
}

func TestNextRunIsBoundedByTheWord(t *testing.T) {
	log := quietLog()
	advise := func() diary.Advice {
		return diary.Advise(person(), log, diary.Sensors{}, diary.DefaultRules(), today)
	}
	// 30 min every third day: the fullest 7 days hold 3 runs, the last 6 days 2.
	require.Equal(t, 33.0, advise().Next.Minutes)
	at(&log, 1, func(e *diary.Entry) { e.During = score(4) })
	require.Equal(t, 15.0, advise().Next.Minutes)
	at(&log, 1, func(e *diary.Entry) { e.During = score(1); e.Painkillers = diary.Yes })
	require.Equal(t, 30.0, advise().Next.Minutes)
}

// A case without any run must not be a dead end: with today's page filled in,
// a short first run is offered; without it, none.
func TestAFirstRunIsOfferedOnceTodaysPageIsFilledIn(t *testing.T) {
	a := diary.Advise(person(), diary.Log{}, diary.Sensors{}, diary.DefaultRules(), today)
	require.False(t, a.Next.Allowed)
	e := run(0)
	e.Run, e.Minutes, e.During, e.After = false, 0, diary.Score{}, diary.Score{}
	a = diary.Advise(person(), diary.Log{Entries: []diary.Entry{e}}, diary.Sensors{}, diary.DefaultRules(), today)
	require.Equal(t, diary.Hold, a.Word)
	require.True(t, a.Next.Allowed)
	require.Contains(t, a.Next.Text, "short first run")
}

// A reason is read as advice by someone in a hurry: none may speak of running while the
// next run says not to.
func TestNoReasonSendsARunnerOutBeforeTheClinician(t *testing.T) {
	for _, c := range []struct {
		sign diary.Symptom
		next string
	}{
		{diary.SeverePain, "Get emergency care now."},
		{diary.SwollenCalf, "See a clinician today."},
		{diary.BoneSpot, "See a clinician before any further run."},
	} {
		e := run(0)
		e.Run, e.Minutes, e.During, e.After = false, 0, diary.Score{}, diary.Score{}
		e.Checklist[c.sign] = diary.Yes
		a := diary.Advise(person(), diary.Log{Entries: []diary.Entry{e}}, diary.Sensors{Runs: []diary.Date{today}}, diary.DefaultRules(), today)
		require.False(t, a.Next.Allowed)
		require.Contains(t, a.Next.Text, c.next)
		for _, r := range a.Reasons {
			require.NotContains(t, r.Text, "first run", r.Rule)
		}
	}
}

func TestRulesOutsideTheirBoundsAreRefused(t *testing.T) {
	for _, change := range []func(r *diary.Rules){
		func(r *diary.Rules) { r.Limit = 3 }, func(r *diary.Rules) { r.Limit = -1 },
		func(r *diary.Rules) { r.TendonLimit = 6 }, func(r *diary.Rules) { r.SettledLimit = 3 },
		func(r *diary.Rules) { r.WeeklyRise = 0.31 }, func(r *diary.Rules) { r.WeeklyRise = -0.1 },
	} {
		r := diary.DefaultRules()
		change(&r)
		require.Error(t, r.Check())
		require.Panics(t, func() { diary.Advise(person(), quietLog(), diary.Sensors{}, r, today) })
	}
}
