package web

import (
	"net/http"
	"strconv"

	"setdown/gait/diary"
	"setdown/report/casebook"
)

// caseFormView is the first-visit form.
type caseFormView struct {
	Case     casebook.Case
	Age      string
	Strength int
	Rise     string
	Limit    [diary.MaxLimit + 1]int
	Tendon   [diary.MaxTendonLimit + 1]int
	Asks     []ask
}

// ask is one yes-or-no question of a form.
type ask struct{ Name, Text, Value string }

func (s *Server) caseForm(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	p := c.Person
	v := caseFormView{Case: c, Strength: -1, Rise: strconv.FormatFloat(100*c.Rules.WeeklyRise, 'g', 4, 64), Asks: []ask{
		{"diabetes", "Diabetes?", p.Diabetes.String()},
		{"reduced_feeling", "Less feeling in the foot or leg than usual?", p.ReducedFeeling.String()},
		{"earlier_bone_stress", "An earlier stress injury of a bone?", p.EarlierBoneStress.String()},
		{"low_energy_intake", "Eating less than the training needs?", p.LowEnergyIntake.String()},
		{"missed_periods", "Missed periods? (No where it does not apply.)", p.MissedPeriods.String()},
	}}
	if p.Age > 0 {
		v.Age = strconv.Itoa(p.Age)
	}
	if n, ok := p.LiftStrength.Value(); ok {
		v.Strength = n
	}
	for i := range v.Limit {
		v.Limit[i] = i
	}
	for i := range v.Tendon {
		v.Tendon[i] = i
	}
	return s.show(w, r, http.StatusOK, "form", shell{Title: "Person and rules: " + c.Name, Here: "/cases", Case: &c, Tab: "form"}, v)
}

func (s *Server) caseChange(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return formError(err)
	}
	today, now := s.day(c)
	err = s.cfg.Book.ChangeCase(r.Context(), c.ID, now, func(c *casebook.Case) error {
		f := form{r: r}
		f.readCase(c, today)
		return f.err
	})
	if err != nil {
		return formFault(err)
	}
	return s.next(w, r, "/cases/"+c.ID+"/form?done=saved")
}

// readCase takes the form over into the case.
func (f *form) readCase(c *casebook.Case, today diary.Date) {
	injured, err := casebook.ParseInjured(f.text("injured"))
	if err != nil {
		f.fail("%v", err)
	}
	c.Name, c.Injured, c.Onset = f.text("name"), casebook.Injured(injured.String()), f.date("onset")
	c.StrengthTest, c.Remarks, c.NextTest = f.text("strength_test"), f.text("remarks"), f.date("next_test")
	p := &c.Person
	if age := f.whole("age"); age != p.Age {
		p.Age, p.AgeOn = age, today
	}
	if p.Age > 120 {
		f.fail("the age %d is not one of a person", p.Age)
	}
	p.Diabetes, p.ReducedFeeling, p.EarlierBoneStress = f.answer("diabetes"), f.answer("reduced_feeling"), f.answer("earlier_bone_stress")
	p.LowEnergyIntake, p.MissedPeriods = f.answer("low_energy_intake"), f.answer("missed_periods")
	if s := f.score("lift_strength"); s != p.LiftStrength {
		p.LiftStrength, p.LiftStrengthOn = s, today
	}
	if v, ok := p.LiftStrength.Value(); ok && v > 5 {
		f.fail("the strength is graded from 0 to 5")
	}
	if f.text("cautions_read") == "yes" && p.CautionsRead.IsZero() {
		p.CautionsRead = today
	}
	f.readDiagnosis(p)
	c.Rules.Limit, c.Rules.TendonLimit, c.Rules.SettledLimit = f.whole("limit"), f.whole("tendon_limit"), f.whole("settled_limit")
	c.Rules.WeeklyRise = f.plain("weekly_rise") / 100
}

// readDiagnosis adds what a clinician named; it is never made here.
func (f *form) readDiagnosis(p *diary.Person) {
	name := f.text("diagnosis")
	if name == "" {
		return
	}
	kind, err := diary.ParseKind(f.text("diagnosis_kind"))
	if err != nil {
		f.fail("%v", err)
	}
	by, on := f.text("diagnosis_by"), f.date("diagnosis_on")
	if by == "" || on.IsZero() {
		f.fail("a diagnosis needs the clinician who made it and the day")
	}
	p.Diagnoses = append(p.Diagnoses, diary.Diagnosis{Name: name, Kind: kind, By: by, On: on})
}
