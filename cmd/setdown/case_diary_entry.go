package main

import (
	"fmt"

	"github.com/spf13/pflag"

	"setdown/gait/diary"
)

// apply puts the flags that were given into the entry.
func (f *diaryFlags) apply(flags *pflag.FlagSet, e *diary.Entry) error {
	switch {
	case flags.Changed("no-run"):
		e.Run = !f.noRun
	case *e == (diary.Entry{ID: e.ID, Date: e.Date}):
		e.Run = true // a new page is a run unless it is said otherwise
	}
	if err := f.applyScores(flags, e); err != nil {
		return err
	}
	if err := applyAnswers(flags, f.answers(e)); err != nil {
		return err
	}
	if err := f.applyAmounts(flags, e); err != nil {
		return err
	}
	if flags.Changed("plan") {
		e.Plan = f.plan
	}
	if flags.Changed("note") {
		e.Note = f.note
	}
	for _, name := range f.clear {
		if err := f.clearField(e, name); err != nil {
			return err
		}
	}
	return f.applyChecklist(e)
}

// scoreFlag is a flag with a number from 0 to 10, and where it goes.
type scoreFlag struct {
	flag  string
	value int
	into  *diary.Score
}

// scores lists the flags that are scores.
func (f *diaryFlags) scores(e *diary.Entry) []scoreFlag {
	return []scoreFlag{
		{"during", f.during, &e.During}, {"after", f.after, &e.After},
		{"morning", f.morning, &e.Morning}, {"stiffness", f.stiffness, &e.Stiffness},
	}
}

// answers lists the flags that are answered yes or no.
func (f *diaryFlags) answers(e *diary.Entry) []answerFlag {
	return []answerFlag{
		{"painkillers", f.painkillers, &e.Painkillers}, {"slapping", f.slapping, &e.Slapping}, {"front-of-ankle", f.front, &e.FrontOfAnkle},
		{"tender-spot", f.tender, &e.TenderSpot}, {"looser-laces", f.laces, &e.LoosenedLaces},
	}
}

// applyScores puts the scores that were given into the entry.
func (f *diaryFlags) applyScores(flags *pflag.FlagSet, e *diary.Entry) error {
	for _, x := range f.scores(e) {
		if !flags.Changed(x.flag) {
			continue
		}
		s, err := diary.Scored(x.value)
		if err != nil {
			return &usageError{"--" + x.flag + ": " + err.Error(), "for example --" + x.flag + " 2"}
		}
		*x.into = s
	}
	return nil
}

// applyAmounts puts how long and how far was run into the entry.
func (f *diaryFlags) applyAmounts(flags *pflag.FlagSet, e *diary.Entry) error {
	for _, amount := range []struct {
		flag  string
		value float64
		into  *float64
	}{{"minutes", f.minutes, &e.Minutes}, {"km", f.kilometres, &e.Kilometres}} {
		if !flags.Changed(amount.flag) {
			continue
		}
		if !(amount.value > 0) {
			return &usageError{"--" + amount.flag + " must be more than 0", "for a day without a run: --no-run"}
		}
		*amount.into = amount.value
	}
	return nil
}

// clearField takes a value back.
func (f *diaryFlags) clearField(e *diary.Entry, name string) error {
	for _, x := range f.scores(e) {
		if x.flag == name {
			*x.into = diary.Score{}
			return nil
		}
	}
	for _, x := range f.answers(e) {
		if x.flag == name {
			*x.into = diary.Unanswered
			return nil
		}
	}
	switch name {
	case "minutes":
		e.Minutes = 0
	case "km":
		e.Kilometres = 0
	case "checklist":
		e.Checklist = diary.Checklist{}
	default:
		return &usageError{fmt.Sprintf("--clear: there is no value %q", name), "name a flag, for example --clear during, or --clear checklist"}
	}
	return nil
}

// applyChecklist answers the questions of the checklist: all that are open no, those
// that were named yes.
func (f *diaryFlags) applyChecklist(e *diary.Entry) error {
	if f.allNo {
		for i := range e.Checklist {
			if e.Checklist[i] == diary.Unanswered {
				e.Checklist[i] = diary.No
			}
		}
	}
	for _, key := range f.yes {
		s, ok := diary.SymptomByKey(key)
		if !ok {
			return &usageError{fmt.Sprintf("--yes: there is no question %q", key), "the names: setdown case diary --help"}
		}
		e.Checklist[s] = diary.Yes
	}
	return nil
}
