package diary

import "fmt"

// Kind is the tissue that a clinician's diagnosis names.
type Kind uint8

// The kinds of diagnosis. Only Tendon and Muscle open the wider pain rule.
const (
	OtherKind Kind = iota
	Tendon
	Muscle
	Bone
)

var kindWords = [...]string{"other", "tendon", "muscle", "bone"}

// String returns "other", "tendon", "muscle" or "bone".
func (k Kind) String() string { return kindWords[k] }

// ParseKind reads what String printed.
func ParseKind(text string) (Kind, error) {
	for i, w := range kindWords {
		if w == text {
			return Kind(i), nil
		}
	}
	return OtherKind, fmt.Errorf("%q is not a kind of diagnosis; write tendon, muscle, bone or other", text)
}

// MarshalText writes the kind as String does.
func (k Kind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText reads what MarshalText wrote.
func (k *Kind) UnmarshalText(text []byte) error {
	v, err := ParseKind(string(text))
	*k = v
	return err
}

// Diagnosis is what a clinician named. setdown never makes one.
type Diagnosis struct {
	Name string `json:"name"`
	Kind Kind   `json:"kind"`
	// By names the clinician or the role, and On the day; a diagnosis without
	// both is shown but opens nothing.
	By string `json:"by"`
	On Date   `json:"on"`
}

// counts tells whether the diagnosis is complete and already made.
func (d Diagnosis) counts(today Date) bool {
	return d.Name != "" && d.By != "" && !d.On.IsZero() && !d.On.After(today)
}

// Person is what the first-visit form tells about the runner. The zero value is
// a form not yet filled in, which never allows more than hold.
type Person struct {
	// Age is in whole years on the day AgeOn.
	Age   int  `json:"age"`
	AgeOn Date `json:"age_on"`
	// The questions of the form.
	Diabetes          Answer `json:"diabetes"`
	ReducedFeeling    Answer `json:"reduced_feeling"`
	EarlierBoneStress Answer `json:"earlier_bone_stress"`
	LowEnergyIntake   Answer `json:"low_energy_intake"`
	// MissedPeriods is answered no where it does not apply.
	MissedPeriods Answer `json:"missed_periods"`
	// LiftStrength is the strength of lifting the injured foot by hand test,
	// grade 0 to 5 (Medical Research Council, 1943; from memory).
	LiftStrength Score `json:"lift_strength"`
	// LiftStrengthOn is the day of that test.
	LiftStrengthOn Date `json:"lift_strength_on"`
	// Diagnoses are all that were ever recorded.
	Diagnoses []Diagnosis `json:"diagnoses"`
	// CautionsRead is the day on which the cautions were acknowledged.
	CautionsRead Date `json:"cautions_read"`
}

// ageOn returns the age in years that the person has at least reached on day.
func (p Person) ageOn(day Date) int {
	years := max(0, day.Since(p.AgeOn)) * 100 / 36525
	return p.Age + years
}

// Rules are the numbers that may be set. The zero value is not usable: start
// from DefaultRules.
type Rules struct {
	// Limit is the highest pain that counts as quiet, 0 to MaxLimit.
	Limit int `json:"limit"`
	// TendonLimit is the same during and just after a run once a tendon or
	// muscle diagnosis is recorded, 0 to MaxTendonLimit.
	TendonLimit int `json:"tendon_limit"`
	// SettledLimit is the highest next-morning pain that counts as settled
	// under the tendon rule, 0 to MaxLimit.
	SettledLimit int `json:"settled_limit"`
	// WeeklyRise is the share by which a week's running may exceed the fullest
	// of the three weeks before it, 0 to MaxWeeklyRise.
	WeeklyRise float64 `json:"weekly_rise"`
}

// The limits of what may be set. On the 11-point scale 0 to 2 is called safe and
// up to 5 acceptable (pain-monitoring model: Thomeé, 1997, Phys Ther 77:1690;
// Silbernagel et al., 2007, Am J Sports Med 35:897; the bands from memory; other
// sources draw the inner line at 3). The wider band was tried in tendons only.
const (
	MaxLimit       = 2
	MaxTendonLimit = 5
	// MaxWeeklyRise caps the convention of 10 % a week, which is not proven.
	MaxWeeklyRise = 0.3
)

// DefaultRules returns 2/10, the tendon rule's 5/10 and 2/10 by the next
// morning, and a weekly rise of 10 % (a convention, not proven).
func DefaultRules() Rules { return Rules{MaxLimit, MaxTendonLimit, MaxLimit, 0.1} }

// Check says which number lies outside what may be set.
func (r Rules) Check() error {
	switch {
	case r.Limit < 0 || r.Limit > MaxLimit:
		return fmt.Errorf("the pain limit is %d; it may be 0 to %d (more is allowed only through a clinician's tendon or muscle diagnosis)", r.Limit, MaxLimit)
	case r.TendonLimit < 0 || r.TendonLimit > MaxTendonLimit:
		return fmt.Errorf("the tendon rule's limit is %d; it may be 0 to %d", r.TendonLimit, MaxTendonLimit)
	case r.SettledLimit < 0 || r.SettledLimit > MaxLimit:
		return fmt.Errorf("the limit for the next morning is %d; it may be 0 to %d", r.SettledLimit, MaxLimit)
	case !(r.WeeklyRise >= 0 && r.WeeklyRise <= MaxWeeklyRise):
		return fmt.Errorf("the weekly rise is %g %%; it may be 0 to %g %%", 100*r.WeeklyRise, 100*MaxWeeklyRise)
	}
	return nil
}
