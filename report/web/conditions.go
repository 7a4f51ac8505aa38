package web

import (
	"fmt"
	"strconv"

	"setdown/gait/recovery"
	"setdown/report/casebook"
)

// formView is what is written down about a session, as fields.
type formView struct {
	Date   string
	Note   string
	Fields []fieldView
	Asks   []ask
}

// fieldView is one field of text or number.
type fieldView struct{ Name, Text, Value, Help string }

// formViewOf fills the fields from a form; of a zero form they are empty.
func formViewOf(f casebook.SessionForm) formView {
	c := f.Conditions
	pace := ""
	if c.SpeedMPS != nil && *c.SpeedMPS > 0 {
		seconds := int(1000 / *c.SpeedMPS + 0.5)
		pace = fmt.Sprintf("%d:%02d", seconds/60, seconds%60)
	}
	return formView{Date: f.Date.String(), Note: f.Note,
		Fields: []fieldView{
			{"shoe", "Shoe", c.Shoe, "for example: blue, 8 mm"},
			{"surface", "Ground", c.Surface, "for example: road"},
			{"pace", "Pace", pace, "minutes a kilometre, for example 6:15"},
			{"minutes_into_run", "Minutes into the run at the start of the recording", number(c.MinutesIntoRun), "0 if recorded from the start"},
			{"placement", "Where and how the sensors sat", c.Placement, "for example: laces, strap"},
			{"drop_mm", "Heel-to-toe drop of the shoe", number(c.DropMM), "in mm"},
			{"insole", "Insole", c.Insole, ""},
			{"tape", "Tape", c.Tape, ""},
			{"slope_percent", "Slope", number(c.SlopePercent), "in percent, uphill positive"},
			{"direction", "Direction", c.Direction, "way round a track, or side of the road"},
			{"intervals", "Walk and run plan", c.Intervals, "empty when running throughout"},
			{"step_rate_asked", "Step rate asked for by a metronome", number(c.StepRateHint), "steps a minute, both feet"},
			{"blocks", "Alternating stretches in this run, to find out what helps", recovery.FormatBlocks(f.Blocks),
				"for example usual:1:00-3:00, quick:3:00-5:00, usual:5:00-7:00 and so on: five or more, one to two minutes each"},
		},
		Asks: []ask{
			{"treadmill", "On a treadmill?", c.Treadmill.String()},
			{"refitted", "Sensors taken off and put on again since the session before?", c.Refitted.String()},
			{"sensors_swapped", "Left sensor worn on the right foot, and the other way round?", c.SensorsSwapped.String()},
		}}
}

func number(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'g', 6, 64)
}
