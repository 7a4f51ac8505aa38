package casebook

import (
	"bytes"
	"context"
	"fmt"
	"time"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/event"
	"setdown/gait/recovery"
	"setdown/gait/simulate"
	"setdown/signal/recording"
)

// DemoName is the pseudonym of the invented runner.
const DemoName = "Wren (invented)"

// DemoToday is the day as of which the demo case is told.
var DemoToday = diary.On(2026, time.May, 31)

// demoSession is one session of the invented case: days after the first, the
// injured side's control gain, and what was different.
type demoSession struct {
	day    int
	gain   float64
	shoe   string
	strike float64 // degrees off the usual strike angle
	note   string
}

// demoSessions are ten sessions over eight weeks: control comes back, with a bad
// week in the middle, and other shoes at the end of the fifth week.
var demoSessions = []demoSession{
	{0, 0.22, "grey, 8 mm", 0, "first session; the foot tires after ten minutes"},
	{6, 0.30, "grey, 8 mm", 0.2, ""},
	{12, 0.38, "grey, 8 mm", -0.2, ""},
	{18, 0.50, "grey, 8 mm", 0.1, ""},
	{24, 0.36, "grey, 8 mm", 0, "bad week: long walk downhill two days before"},
	{30, 0.62, "grey, 8 mm", 0.1, ""},
	{36, 0.68, "blue, 4 mm", -1.0, "other shoes today"},
	{42, 0.76, "grey, 8 mm", 0, ""},
	{48, 0.84, "grey, 8 mm", 0.1, ""},
	{54, 0.90, "grey, 8 mm", -0.1, ""},
}

// demoSeconds is how long each invented recording is, in s.
const demoSeconds = 75

// Demo makes an invented case in the casebook: a fictional runner, eight weeks,
// ten sessions, control gain rising, one change of shoes, one bad week. The
// recordings are simulated and go the same way as real ones. tell, if not nil,
// is called before each session with its number, from 1.
func (b *Book) Demo(ctx context.Context, analyze Analyze, tell func(session, of int)) (Case, error) {
	first := DemoToday.Add(-demoSessions[len(demoSessions)-1].day - 2)
	now := demoTime(first, 0)
	c, err := b.NewCase(ctx, demoCase(first), now)
	if err != nil {
		return Case{}, err
	}
	for i, s := range demoSessions {
		if tell != nil {
			tell(i+1, len(demoSessions))
		}
		if err := b.demoSession(ctx, c, i, s, first.Add(s.day), analyze); err != nil {
			return Case{}, fmt.Errorf("invented session %d: %w", i+1, err)
		}
	}
	return c, b.demoDiary(ctx, c, first)
}

func demoCase(first diary.Date) Case {
	strength, _ := diary.Scored(4)
	return Case{Name: DemoName, Injured: Injured(asymmetry.InjuredRight.String()), Onset: first.Add(-16), Zone: "+02:00", Invented: true,
		StrengthTest: "lifting the right foot weaker than the left, ten single heel walks possible",
		NextTest:     DemoToday.Add(5), Remarks: "Invented case; no real person.",
		Person: diary.Person{Age: 37, AgeOn: first, Diabetes: diary.No, ReducedFeeling: diary.No, EarlierBoneStress: diary.No,
			LowEnergyIntake: diary.No, MissedPeriods: diary.No, CautionsRead: first, LiftStrength: strength, LiftStrengthOn: first,
			Diagnoses: []diary.Diagnosis{{Name: "strain of the front shin muscle", Kind: diary.Muscle, By: "physiotherapist (invented)", On: first.Add(-2)}}}}
}

// demoTime is a time of day in the invented runner's zone.
func demoTime(d diary.Date, hour int) time.Time {
	return time.Date(d.Year, d.Month, d.Day, 18, hour, 0, 0, time.FixedZone("+02:00", 7200))
}

func (b *Book) demoSession(ctx context.Context, c Case, i int, s demoSession, day diary.Date, analyze Analyze) error {
	sources, err := demoRecordings(uint64(i+1), s)
	if err != nil {
		return err
	}
	res, err := analyze(ctx, sources, c.Injured.Side(), Reading{})
	if err != nil {
		return err
	}
	kept, err := Keep(res)
	if err != nil {
		return err
	}
	start, speed, into := demoTime(day, 10), 2.8, 5.0
	drop := 8.0
	if s.shoe != demoSessions[0].shoe {
		drop = 4
	}
	form := SessionForm{Date: day, Start: &start, Zone: "+02:00", Note: s.note, Conditions: recovery.Conditions{Shoe: s.shoe, DropMM: &drop,
		Surface: "park path", SpeedMPS: &speed, Treadmill: diary.No, MinutesIntoRun: &into, Placement: "laces, strap", Refitted: diary.Yes}}
	_, err = b.AddSession(ctx, c.ID, form, sources, kept, start.Add(time.Hour))
	return err
}

// demoRecordings simulates both feet; the right is the weak one.
func demoRecordings(seed uint64, d demoSession) ([]recording.Source, error) {
	const degree = 0.017453292519943295
	s := simulate.Defaults(event.Running)
	s.Duration, s.Seed = demoSeconds, 100+seed
	s.Right.Gain = d.gain
	s.Right.StrikeAngle += d.strike * degree
	s.Left.StrikeAngle += d.strike * degree
	rec := simulate.Run(s)
	var out []recording.Source
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		var file bytes.Buffer
		if err := rec.WriteCSV(&file, side, recording.Foot, simulate.Everyday); err != nil {
			return nil, err
		}
		out = append(out, recording.Bytes(fmt.Sprintf("session-%02d-%s", seed, simulate.FileName(side, recording.Foot)), file.Bytes(), side))
	}
	return out, nil
}

// demoDiary writes the invented diary: a run every third day, pain going down but
// for the bad week, and the strengthening in between.
func (b *Book) demoDiary(ctx context.Context, c Case, first diary.Date) error {
	slap := diary.Release{On: first, By: "physiotherapist (invented)", SlapKnown: true, Note: "slapping examined"}
	if err := b.AddRelease(ctx, c.ID, slap, demoTime(first, 20)); err != nil {
		return err
	}
	for day := 0; first.Add(day).Since(DemoToday) < 0; day += 3 {
		d := first.Add(day)
		// Tomorrow morning's entry is made a day later.
		err := b.ChangeEntry(ctx, c.ID, EntryID(d, 1), d, demoTime(d.Add(1), 0), func(e *diary.Entry) error {
			return demoEntry(e, day)
		})
		if err != nil {
			return err
		}
	}
	for day := 1; first.Add(day).Since(DemoToday) < 0; day += 2 {
		if err := b.demoExercise(ctx, c, first.Add(day), day); err != nil {
			return err
		}
	}
	return nil
}

func demoEntry(e *diary.Entry, day int) error {
	level := 2
	switch {
	case day >= 21 && day <= 27:
		level, e.Note = 4, "bad week"
	case day > 36:
		level = 1
	}
	for _, p := range []struct {
		into  *diary.Score
		value int
	}{{&e.During, level}, {&e.After, max(0, level-1)}, {&e.Morning, max(0, level-2)}, {&e.Stiffness, max(0, level-1)}} {
		s, err := diary.Scored(p.value)
		if err != nil {
			return err
		}
		*p.into = s
	}
	e.Run, e.Painkillers, e.Slapping = true, diary.No, diary.No
	if day < 18 {
		e.Slapping = diary.Yes
	}
	e.FrontOfAnkle, e.TenderSpot, e.LoosenedLaces, e.Checklist = diary.No, diary.No, diary.No, diary.Filled(diary.No)
	e.Minutes = 20 + float64(day/6)
	if level > 3 {
		e.Minutes = 12
	}
	return nil
}

func (b *Book) demoExercise(ctx context.Context, c Case, d diary.Date, day int) error {
	pain, err := diary.Scored(0)
	if err != nil {
		return err
	}
	e := diary.Exercise{Date: d, Drill: diary.HeelWalk, Sets: 3, Metres: 10, Pain: pain}
	if day > 12 {
		e.Sets, e.Metres = 4, float64(10+5*((day-12)/12))
	}
	if day%4 == 3 {
		e = diary.Exercise{Date: d, Drill: diary.ToeWalk, Sets: 3, Slow: min(30, 15+5*(day/18)), Fast: min(30, 15+5*(day/18)), Pain: pain}
	}
	_, err = b.AddExercise(ctx, c.ID, e, demoTime(d, 30))
	return err
}
