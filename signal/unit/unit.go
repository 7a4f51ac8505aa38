// Package unit holds the units that setdown reads and shows.
//
// Inside the program everything is in base units: s, Hz, m/s², rad/s, rad.
// Readers turn what a file says into base units with ToBase; writers turn base
// units into what people read with FromBase. Nothing else converts.
package unit

import (
	"math"
	"strings"
)

// StandardGravity is the standard acceleration of free fall in m/s²
// (3rd CGPM, 1901; exact).
const StandardGravity = 9.80665

// Unit is one unit of measurement: its printed symbol and the factor by which
// a value in it is multiplied to give base units.
type Unit struct {
	// Symbol is how the unit is printed, for example "deg/s".
	Symbol string
	// Factor turns a value in this unit into base units: base = value × Factor.
	Factor float64
	// Kind says what is measured; units of different kinds never convert.
	Kind Kind
}

// Kind is what a unit measures.
type Kind uint8

// The kinds of quantity that setdown meets.
const (
	None         Kind = iota // a pure number or a share
	Time                     // base s
	Frequency                // base Hz
	Acceleration             // base m/s²
	AngularRate              // base rad/s
	Angle                    // base rad
	Speed                    // base m/s
	Length                   // base m
)

// The units in use. Base units have Factor 1.
var (
	One               = Unit{"", 1, None}
	Percent           = Unit{"%", 0.01, None}
	Second            = Unit{"s", 1, Time}
	Millisecond       = Unit{"ms", 1e-3, Time}
	Microsecond       = Unit{"us", 1e-6, Time}
	Nanosecond        = Unit{"ns", 1e-9, Time}
	Minute            = Unit{"min", 60, Time}
	Hour              = Unit{"h", 3600, Time}
	Day               = Unit{"days", 86400, Time}
	Hertz             = Unit{"Hz", 1, Frequency}
	PerMinute         = Unit{"1/min", 1.0 / 60, Frequency}
	MetrePerSecond2   = Unit{"m/s2", 1, Acceleration}
	G                 = Unit{"g", StandardGravity, Acceleration}
	MilliG            = Unit{"mg", StandardGravity / 1000, Acceleration}
	CentimetrePerSec2 = Unit{"cm/s2", 1e-2, Acceleration}
	MillimetrePerSec2 = Unit{"mm/s2", 1e-3, Acceleration}
	MicroG            = Unit{"ug", StandardGravity / 1e6, Acceleration}
	FootPerSecond2    = Unit{"ft/s2", 0.3048, Acceleration} // the international foot, 1959: exact
	RadianPerSecond   = Unit{"rad/s", 1, AngularRate}
	DegreePerSecond   = Unit{"deg/s", math.Pi / 180, AngularRate}
	MilliDegPerSecond = Unit{"mdeg/s", math.Pi / 180000, AngularRate}
	MilliRadPerSecond = Unit{"mrad/s", 1e-3, AngularRate}
	TurnPerMinute     = Unit{"turn/min", 2 * math.Pi / 60, AngularRate}
	Radian            = Unit{"rad", 1, Angle}
	Degree            = Unit{"deg", math.Pi / 180, Angle}
	MetrePerSecond    = Unit{"m/s", 1, Speed}
	KilometrePerHour  = Unit{"km/h", 1 / 3.6, Speed}
	Metre             = Unit{"m", 1, Length}
)

// aliases lists every spelling that files use, in lower case and without
// spaces, per unit.
var aliases = map[string]Unit{
	"s": Second, "sec": Second, "secs": Second, "second": Second, "seconds": Second,
	"ms": Millisecond, "msec": Millisecond, "millis": Millisecond, "milliseconds": Millisecond,
	"us": Microsecond, "µs": Microsecond, "μs": Microsecond, "usec": Microsecond, "micros": Microsecond, "microseconds": Microsecond,
	"ns": Nanosecond, "nsec": Nanosecond, "nanos": Nanosecond, "nanoseconds": Nanosecond,
	"min": Minute, "hz": Hertz,
	"m/s2": MetrePerSecond2, "m/s^2": MetrePerSecond2, "m/s²": MetrePerSecond2, "m/s/s": MetrePerSecond2, "ms-2": MetrePerSecond2,
	"m/sec2": MetrePerSecond2, "m/sec^2": MetrePerSecond2, "mps2": MetrePerSecond2, "m.s-2": MetrePerSecond2, "m·s-2": MetrePerSecond2,
	"m*s^-2": MetrePerSecond2, "m*s-2": MetrePerSecond2, "m_s2": MetrePerSecond2,
	"g": G, "gs": G, "g-force": G, "gravity": G,
	"mg": MilliG, "milli-g": MilliG, "millig": MilliG,
	"rad/s": RadianPerSecond, "rads": RadianPerSecond, "rad/sec": RadianPerSecond, "rps": RadianPerSecond, "rad.s-1": RadianPerSecond,
	"rads-1": RadianPerSecond, "rad*s^-1": RadianPerSecond, "rad_s": RadianPerSecond, "radps": RadianPerSecond,
	"deg/s": DegreePerSecond, "°/s": DegreePerSecond, "dps": DegreePerSecond, "degs": DegreePerSecond, "deg/sec": DegreePerSecond, "grad/s": DegreePerSecond,
	"deg.s-1": DegreePerSecond, "deg_s": DegreePerSecond, "degps": DegreePerSecond, "degrees/s": DegreePerSecond, "degrees/second": DegreePerSecond,
	"mdeg/s": MilliDegPerSecond, "mdps": MilliDegPerSecond, "m°/s": MilliDegPerSecond,
	"rad": Radian, "deg": Degree, "°": Degree,
	"m/s": MetrePerSecond, "mps": MetrePerSecond, "km/h": KilometrePerHour, "kmh": KilometrePerHour, "kph": KilometrePerHour,
	"sekunde": Second, "sekunden": Second, "seconde": Second, "secondes": Second, "segundo": Second, "segundos": Second, "secondo": Second, "secondi": Second, "seconden": Second,
	"millisecond": Millisecond, "millisekunden": Millisecond, "millisecondes": Millisecond, "milisegundos": Millisecond, "millisecondi": Millisecond, "milliseconden": Millisecond,
	"microsecond": Microsecond, "mikrosekunden": Microsecond, "nanosecond": Nanosecond, "mins": Minute, "minutes": Minute, "minuten": Minute,
	"m/s**2": MetrePerSecond2, "ms^-2": MetrePerSecond2, "ms⁻²": MetrePerSecond2, "m·s⁻²": MetrePerSecond2, "m_per_s2": MetrePerSecond2, "meter/second^2": MetrePerSecond2,
	"meters/second^2": MetrePerSecond2, "metres/second^2": MetrePerSecond2, "m/sek²": MetrePerSecond2, "m/sek^2": MetrePerSecond2, "gforce": G, "g0": G, "gn": G,
	"rad·s-1": RadianPerSecond, "rad·s⁻¹": RadianPerSecond, "rads⁻¹": RadianPerSecond, "rad/sek": RadianPerSecond, "radians/s": RadianPerSecond, "radians/second": RadianPerSecond,
	"º/s": DegreePerSecond, "°/sec": DegreePerSecond, "°/sek": DegreePerSecond, "°s-1": DegreePerSecond, "°s⁻¹": DegreePerSecond, "°·s⁻¹": DegreePerSecond, "deg·s-1": DegreePerSecond,
	"degpersec": DegreePerSecond, "deg_per_s": DegreePerSecond, "gradi/s": DegreePerSecond, "grados/s": DegreePerSecond, "graden/s": DegreePerSecond, "degres/s": DegreePerSecond, "grader/s": DegreePerSecond, "graus/s": DegreePerSecond, "stopni/s": DegreePerSecond, "st/s": DegreePerSecond, "degrés/s": DegreePerSecond,
	"degree/s": DegreePerSecond, "degree/sec": DegreePerSecond, "degree/second": DegreePerSecond, "degreespersecond": DegreePerSecond, "degreepersecond": DegreePerSecond, "deg.s^-1": DegreePerSecond, "deg*s^-1": DegreePerSecond,
	"deg·s^-1": DegreePerSecond, "°.s-1": DegreePerSecond, "°.s^-1": DegreePerSecond, "radian/s": RadianPerSecond, "radian/sec": RadianPerSecond, "radian/second": RadianPerSecond, "radians/sec": RadianPerSecond, "radianspersecond": RadianPerSecond,
	"radianpersecond": RadianPerSecond, "rad.s^-1": RadianPerSecond, "rad·s^-1": RadianPerSecond, "m.s^-2": MetrePerSecond2, "m·s^-2": MetrePerSecond2, "m.s⁻²": MetrePerSecond2, "meters/s^2": MetrePerSecond2, "metres/s^2": MetrePerSecond2,
	"meterspersecondsquared": MetrePerSecond2, "metrespersecondsquared": MetrePerSecond2, "meterpersecondsquared": MetrePerSecond2, "meterspersecond^2": MetrePerSecond2, "meters/second2": MetrePerSecond2, "meters/s2": MetrePerSecond2,
	"mdeg_s": MilliDegPerSecond, "mdegs": MilliDegPerSecond, "millideg/s": MilliDegPerSecond, "m/sec": MetrePerSecond, "km/hr": KilometrePerHour,
	"cm/s2": CentimetrePerSec2, "cm/s^2": CentimetrePerSec2, "cm/s²": CentimetrePerSec2, "cm/s/s": CentimetrePerSec2, "cm_s2": CentimetrePerSec2, "cm·s⁻²": CentimetrePerSec2,
	"mm/s2": MillimetrePerSec2, "mm/s^2": MillimetrePerSec2, "mm/s²": MillimetrePerSec2, "mm/s/s": MillimetrePerSec2, "mm_s2": MillimetrePerSec2, "mm·s⁻²": MillimetrePerSec2,
	"mrad/s": MilliRadPerSecond, "mrad_s": MilliRadPerSecond, "mrad/sec": MilliRadPerSecond, "mrads": MilliRadPerSecond,
	"ug": MicroG, "µg": MicroG, "μg": MicroG, "microg": MicroG, "ft/s2": FootPerSecond2, "ft/s^2": FootPerSecond2, "ft/s²": FootPerSecond2, "ft/sec^2": FootPerSecond2, "ft/s/s": FootPerSecond2,
	"turn/min": TurnPerMinute, "rev/min": TurnPerMinute, "r/min": TurnPerMinute, "u/min": TurnPerMinute, "tr/min": TurnPerMinute,
	"h": Hour, "hour": Hour, "hours": Hour, "hrs": Hour,
	"days": Day, "tage": Day, "jours": Day, "dias": Day, "giorni": Day, "dagen": Day,
	"spm": PerMinute, "steps/min": PerMinute, "rpm": PerMinute,
	"m": Metre, "1/min": PerMinute, "/min": PerMinute, "%": Percent,
}

// Parse finds the unit that text names, ignoring case, spaces and surrounding
// brackets. The second result is false when no unit is known by that name.
func Parse(text string) (Unit, bool) {
	key := strings.ToLower(strings.Trim(strings.TrimSpace(text), "[](){}"))
	key = strings.ReplaceAll(key, " ", "")
	u, ok := aliases[key]
	return u, ok
}

// ToBase turns value, given in u, into base units.
func (u Unit) ToBase(value float64) float64 { return value * u.Factor }

// FromBase turns value, given in base units, into u.
func (u Unit) FromBase(value float64) float64 { return value / u.Factor }
