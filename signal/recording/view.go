package recording

import (
	"fmt"
	"math"
	"strings"

	"golang.org/x/text/encoding/charmap"

	"setdown/signal/unit"
)

// view describes how the table was read.
func (l *layout) view() FileView {
	v := FileView{Input: l.f.input(), Packing: [...]string{"", "gzip", "zip"}[l.f.packed], Encoding: l.f.encodingName(),
		LineEnd: map[byte]string{'\n': "LF", '\r': "CR"}[l.f.eol], Decimal: nameOf(decimalNames, l.s.decimal), Delimiter: nameOf(delimNames, l.s.delim),
		Heading: l.s.header, First: l.s.first}
	if l.f.crlf {
		v.LineEnd = "CRLF"
	}
	used := l.usedColumns()
	for i, c := range l.cols {
		u, ok := used[i]
		if !ok {
			v.Columns = append(v.Columns, ColumnView{Name: c.name})
			continue
		}
		v.Columns = append(v.Columns, ColumnView{Name: c.name, Used: true, Role: u.Role, Unit: u.Unit, UnitFrom: u.UnitFrom})
	}
	v.Mapping = l.mapping()
	return v
}

// usedColumns gives the columns that play a part, by index.
func (l *layout) usedColumns() map[int]Channel {
	out := map[int]Channel{}
	for _, d := range l.drafts {
		for i, f := range d.feeds {
			if f.f != l.f {
				continue
			}
			for _, k := range f.keys {
				out[k] = Channel{Role: "key"}
			}
			if f.time.col >= 0 {
				c := l.cols[f.time.col]
				out[f.time.col] = Channel{Role: timeRole(f), Unit: c.unit.Symbol, UnitFrom: c.unitFrom}
			}
			if f.time.date >= 0 {
				out[f.time.date] = Channel{Role: "date"}
			}
			if p := f.time.parts; p != nil {
				for _, c := range p.columns() {
					out[c] = Channel{Role: "part of the time"}
				}
			}
			if f.time.sub >= 0 {
				out[f.time.sub] = Channel{Role: "part of a second"}
			}
			for _, c := range d.cols[i] {
				if n, _ := c.role.channel(); f.col[n] >= 0 {
					out[f.col[n]] = Channel{Role: c.role.String(), Unit: c.unit.Symbol, UnitFrom: c.unitFrom}
				}
			}
		}
	}
	if l.cadence != nil {
		for _, r := range []role{roleTime, roleCadence, roleSpeed} {
			for i, c := range l.cols {
				if c.role == r {
					out[i] = Channel{Role: r.String(), Unit: c.unit.Symbol, UnitFrom: c.unitFrom}
					break
				}
			}
		}
	}
	return out
}

func timeRole(f *feed) string {
	if f.time.counter {
		return "counter"
	}
	return "time"
}

// mapping writes down how the table was read; nil for what a mapping cannot say:
// long tables, where rows tell the sensors apart, and several sensors without a
// side or site.
func (l *layout) mapping() *Mapping {
	m := &Mapping{Name: l.f.name, Delim: l.s.delim, Decimal: l.s.decimal, Heading: l.s.header}
	seen := map[string]int{}
	clash := false
	add := func(c MappedColumn) {
		key := fmt.Sprint(c.Side, c.Site, c.Role)
		if at, ok := seen[key]; ok {
			clash = clash || at != c.Index
			return
		}
		seen[key] = c.Index
		if c.Column == "" || l.s.joined || l.twice(c.Column) {
			c.Column = ""
		} else {
			c.Index = 0
		}
		m.Columns = append(m.Columns, c)
	}
	for _, d := range l.drafts {
		for i, f := range d.feeds {
			if len(f.keys) > 0 || f.f != l.f || f.time.sub >= 0 || f.time.parts != nil || f.time.steps {
				return nil
			}
			if t := f.time.col; t >= 0 {
				u, scale := plainUnit(l.cols[t].unit)
				add(MappedColumn{Role: timeRole(f), Column: l.cols[t].name, Index: t + 1, Unit: u, Scale: scale})
			} else {
				m.Rate = l.givenRate()
			}
			if t := f.time.date; t >= 0 {
				add(MappedColumn{Role: "date", Column: l.cols[t].name, Index: t + 1})
			}
			for _, c := range d.cols[i] {
				if n, _ := c.role.channel(); f.col[n] >= 0 {
					u, scale := plainUnit(c.unit)
					add(MappedColumn{Side: c.side, Site: c.site, Role: c.role.String(), Column: c.name, Index: c.index + 1, Unit: u, Scale: scale})
				}
			}
			if f.time.counter {
				m.Rate = l.givenRate()
			}
		}
	}
	if clash {
		return nil
	}
	return m
}

// plainUnit takes a scaled unit ("0.07 deg/s") apart.
func plainUnit(u unit.Unit) (string, float64) {
	if _, symbol, ok := strings.Cut(u.Symbol, " "); ok {
		if base, known := unit.Parse(symbol); known {
			return symbol, u.Factor / base.Factor
		}
	}
	return u.Symbol, 0
}

// twice tells whether several columns have the name.
func (l *layout) twice(name string) bool {
	n := 0
	for _, c := range l.cols {
		if c.name == name {
			n++
		}
	}
	return n > 1
}

// encodingName names the text encoding.
func (f *file) encodingName() string {
	switch {
	case f.text == nil && f.skip > 0:
		return "UTF-8 with mark"
	case f.text == nil:
		return "UTF-8"
	case f.text == charmap.Windows1252:
		return "Windows-1252"
	}
	return "UTF-16"
}

func nameOf(names map[string]byte, b byte) string {
	for name, x := range names {
		if x == b {
			return name
		}
	}
	return ""
}

// uses says what kinds of measures a track can give.
func uses(t *Track) []Use {
	limb := t.Site == Foot || t.Site == Shin || t.Site == SiteUnknown
	out := []Use{
		{What: "step rate", NeedsRate: RateCadence},
		{What: "contact times", NeedsRate: RateContact},
		{What: "lowering", NeedsRate: RateLowering},
		{What: "contact peaks", NeedsRate: RateGood},
	}
	for i := range out {
		u := &out[i]
		switch {
		case t.Rate < u.NeedsRate:
			u.Because = fmt.Sprintf("sampled at %.4g Hz; needs %.0f Hz", t.Rate, u.NeedsRate)
		case i == 0 && t.AccAxes == 0 && !t.HasGyr:
			u.Because = "no motion in it"
		case i > 0 && !limb:
			u.Because = "needs a sensor on the foot" + map[bool]string{true: " or shin"}[i == 1]
		case i == 2 && t.Site == Shin:
			u.Because = "needs a sensor on the foot"
		case i > 0 && !t.HasAcc:
			u.Because = "needs all three axes of an accelerometer"
		case (i == 1 || i == 2) && !t.HasGyr:
			u.Because = "needs a gyroscope"
		default:
			u.Possible = true
			if i == 2 && t.Rate < 0.95*RateGood {
				u.Because = fmt.Sprintf("in walking; running needs %d Hz", RateGood)
			}
		}
	}
	return out
}

// Rules of docs/recording.md, by their headings.
const (
	ruleRate  = "Rate"
	ruleRange = "Range"
	ruleStand = "Stand still first"
	ruleSteps = "Enough steps"
)

// Limits for advice: 25 steps a side take 25 strides of about 0.7–1.1 s.
const (
	standSeconds  = 2
	enoughSeconds = 30
)

// advice points to the rules that a recording broke.
func advice(v *TrackView) []Advice {
	var out []Advice
	t := v.Track
	add := func(rule, format string, args ...any) { out = append(out, Advice{rule, fmt.Sprintf(format, args...)}) }
	if t.Rate < 0.95*RateGood {
		add(ruleRate, "sampled at %.4g Hz; choose %d Hz or more", t.Rate, RateGood)
	}
	if v.VoidAcc > 0 && t.AccRange > 0 {
		add(ruleRange, "the accelerometer clips at %.3g g; %s", t.AccRange/unit.StandardGravity, wider(t.AccRange/unit.StandardGravity, "g", 16))
	}
	if v.VoidGyr > 0 && t.GyrRange > 0 {
		add(ruleRange, "the gyroscope clips at %.4g deg/s; %s", t.GyrRange*180/math.Pi, wider(t.GyrRange*180/math.Pi, "deg/s", 1000, 2000))
	}
	if v.Err == nil && len(v.Stretches) > 0 {
		if s := v.Stretches[0]; s.Moving || s.End-s.Begin < standSeconds {
			add(ruleStand, "it moves from the start; stand still for a few seconds first")
		}
		if m := v.movingSeconds(); m < enoughSeconds {
			add(ruleSteps, "it moves for %.0f s; 25 steps a side need about %d s or more", m, enoughSeconds)
		}
	}
	return out
}

// wider advises the first of the ranges to choose that is beyond one that clips;
// beyond all of them only a sensor with a wider one helps.
func wider(clips float64, symbol string, choose ...float64) string {
	for _, c := range choose {
		if clips < 0.95*c {
			return fmt.Sprintf("choose %g %s or more", c, symbol)
		}
	}
	return fmt.Sprintf("choose a range above %.4g %s if the sensor has one, or fasten it where it is hit less hard, over the laces", clips, symbol)
}

// movingSeconds adds up the stretches with movement.
func (v *TrackView) movingSeconds() float64 {
	sum := 0.0
	for _, s := range v.Stretches {
		if s.Moving {
			sum += s.End - s.Begin
		}
	}
	return sum
}
