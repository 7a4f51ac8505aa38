package main

import (
	"fmt"
	"time"

	"github.com/spf13/pflag"

	"setdown/gait/diary"
	"setdown/report/casebook"
)

// oldest is the greatest age that is taken for one, years. Nobody is known to
// have lived longer than 122; common knowledge, no source.
const oldest = 125

// formFlags are the first-visit form as flags.
type formFlags struct {
	injured, onset, nextTest, remarks, strengthTest, rename string
	diabetes, feeling, bone, energy, periods                string
	diagnosis, diagnosisKind, diagnosisBy, diagnosisOn      string
	age, grade, limit, tendonLimit                          int
	rise                                                    float64
	read                                                    bool
	reopen                                                  bool
}

func (f *formFlags) add(flags *pflag.FlagSet) {
	flags.StringVar(&f.injured, "injured", "", "the injured side: left, right, both or unknown")
	flags.StringVar(&f.onset, "onset", "", "day on which it began, YYYY-MM-DD")
	flags.IntVar(&f.age, "age", 0, "age in years")
	flags.StringVar(&f.diabetes, "diabetes", "", "yes or no")
	flags.StringVar(&f.feeling, "reduced-feeling", "", "reduced feeling in leg or foot: yes or no")
	flags.StringVar(&f.bone, "earlier-bone-stress", "", "an earlier bone stress injury: yes or no")
	flags.StringVar(&f.energy, "low-energy", "", "eating less than running uses: yes or no")
	flags.StringVar(&f.periods, "missed-periods", "", "missed periods: yes or no (no where it does not apply)")
	flags.IntVar(&f.grade, "lift-strength", -1, "strength of lifting the injured foot by hand test, grade 0 to 5")
	flags.StringVar(&f.strengthTest, "strength-test", "", "the strength test in words")
	flags.StringVar(&f.diagnosis, "diagnosis", "", "the diagnosis as the clinician named it")
	flags.StringVar(&f.diagnosisKind, "diagnosis-kind", "", "what it is of: tendon, muscle, bone or other")
	flags.StringVar(&f.diagnosisBy, "diagnosis-by", "", "the clinician's name or role")
	flags.StringVar(&f.diagnosisOn, "diagnosis-on", "", "day of the diagnosis, YYYY-MM-DD (default today)")
	flags.StringVar(&f.nextTest, "next-test", "", "day of the next session with sensors, YYYY-MM-DD")
	flags.StringVar(&f.remarks, "remarks", "", "remarks for the file")
	flags.IntVar(&f.limit, "pain-limit", diary.MaxLimit, "pain that counts as quiet, 0 to 2")
	flags.IntVar(&f.tendonLimit, "tendon-limit", diary.MaxTendonLimit, "the same with a clinician's tendon or muscle diagnosis, 0 to 5")
	flags.Float64Var(&f.rise, "weekly-rise", 10, "percent by which a week's running may rise (a convention, not proven), 0 to 30")
	flags.BoolVar(&f.read, "cautions-read", false, "the runner has read and understood the cautions")
}

// apply puts the flags that were given into the case.
func (f *formFlags) apply(flags *pflag.FlagSet, c *casebook.Case, now time.Time) error {
	p := &c.Person
	if err := applyAnswers(flags, []answerFlag{
		{"diabetes", f.diabetes, &p.Diabetes}, {"reduced-feeling", f.feeling, &p.ReducedFeeling}, {"earlier-bone-stress", f.bone, &p.EarlierBoneStress},
		{"low-energy", f.energy, &p.LowEnergyIntake}, {"missed-periods", f.periods, &p.MissedPeriods},
	}); err != nil {
		return err
	}
	if err := f.applyDays(flags, c, now); err != nil {
		return err
	}
	applyWords(flags, []wordFlag{
		{"remarks", f.remarks, &c.Remarks}, {"strength-test", f.strengthTest, &c.StrengthTest}, {"injured", f.injured, (*string)(&c.Injured)},
	})
	if flags.Changed("injured") {
		if _, err := parseInjured(f.injured); err != nil {
			return err
		}
	}
	if err := f.applyAge(flags, p, now); err != nil {
		return err
	}
	if f.read {
		p.CautionsRead = diary.DateOf(now)
	}
	if err := f.applyStrength(flags, p, now); err != nil {
		return err
	}
	f.applyRules(flags, &c.Rules)
	return f.addDiagnosis(p, now)
}

// applyDays puts in the days that were given.
func (f *formFlags) applyDays(flags *pflag.FlagSet, c *casebook.Case, now time.Time) error {
	for _, d := range []struct {
		flag, text string
		into       *diary.Date
	}{{"onset", f.onset, &c.Onset}, {"next-test", f.nextTest, &c.NextTest}} {
		if !flags.Changed(d.flag) {
			continue
		}
		var err error
		if *d.into, err = day("--"+d.flag, d.text, now); err != nil {
			return err
		}
	}
	return nil
}

// applyAge puts in the age, with the day on which it was that.
func (f *formFlags) applyAge(flags *pflag.FlagSet, p *diary.Person, now time.Time) error {
	if !flags.Changed("age") {
		return nil
	}
	if f.age < 1 || f.age > oldest {
		return &usageError{fmt.Sprintf("--age %d is no age in years", f.age), "for example --age 37"}
	}
	p.Age, p.AgeOn = f.age, diary.DateOf(now)
	return nil
}

// applyStrength puts in the strength of lifting the foot, with the day of its test.
func (f *formFlags) applyStrength(flags *pflag.FlagSet, p *diary.Person, now time.Time) error {
	if !flags.Changed("lift-strength") {
		return nil
	}
	if f.grade < 0 || f.grade > 5 {
		return &usageError{fmt.Sprintf("--lift-strength %d is no grade", f.grade), "grades go from 0 to 5"}
	}
	s, err := diary.Scored(f.grade)
	if err != nil {
		return err
	}
	p.LiftStrength, p.LiftStrengthOn = s, diary.DateOf(now)
	return nil
}

// applyRules puts in the limits that were given; a new case has the usual ones.
func (f *formFlags) applyRules(flags *pflag.FlagSet, r *diary.Rules) {
	if *r == (diary.Rules{}) {
		*r = diary.DefaultRules()
	}
	if flags.Changed("pain-limit") {
		r.Limit, r.SettledLimit = f.limit, f.limit
	}
	if flags.Changed("tendon-limit") {
		r.TendonLimit = f.tendonLimit
	}
	if flags.Changed("weekly-rise") {
		r.WeeklyRise = f.rise / 100
	}
}

// addDiagnosis adds a diagnosis, if one was given. It is a clinician's: one that nobody
// made is refused.
func (f *formFlags) addDiagnosis(p *diary.Person, now time.Time) error {
	if f.diagnosis == "" {
		return nil
	}
	if f.diagnosisBy == "" || f.diagnosisKind == "" {
		return &usageError{"a diagnosis needs the clinician who made it and what it is of", "add --diagnosis-by WHO --diagnosis-kind tendon|muscle|bone|other"}
	}
	kind, err := diary.ParseKind(f.diagnosisKind)
	if err != nil {
		return &usageError{err.Error(), "for example --diagnosis-kind tendon"}
	}
	on, err := day("--diagnosis-on", f.diagnosisOn, now)
	if err != nil {
		return err
	}
	p.Diagnoses = append(p.Diagnoses, diary.Diagnosis{Name: f.diagnosis, Kind: kind, By: f.diagnosisBy, On: on})
	return nil
}
