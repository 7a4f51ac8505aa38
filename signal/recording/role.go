package recording

import (
	"setdown/signal/unit"
)

// role is what a column is read as.
type role uint8

const (
	roleNone role = iota
	roleTime
	roleDate
	roleCounter
	roleAccX
	roleAccY
	roleAccZ
	roleGyrX
	roleGyrY
	roleGyrZ
	roleKey     // names a side, a site, a sensor or a channel in words
	roleValue   // the one value column of a long table
	roleCadence // step rate
	roleSpeed
	roleAxisX // an axis of a sensor that the heading does not name
	roleAxisY
	roleAxisZ
	roleUnused // a known quantity that is not used
)

var roleNames = [...]string{"", "time", "date", "counter", "acc_x", "acc_y", "acc_z", "gyr_x", "gyr_y", "gyr_z",
	"key", "value", "cadence", "speed", "axis_x", "axis_y", "axis_z", "unused"}

func (r role) String() string { return roleNames[r] }

// channel returns 0–5 for acc_x … gyr_z, and false for other roles.
func (r role) channel() (int, bool) {
	if r < roleAccX || r > roleGyrZ {
		return 0, false
	}
	return int(r - roleAccX), true
}

// kind is what the unit of a column of this role measures.
func (r role) kind() unit.Kind {
	switch {
	case r == roleTime:
		return unit.Time
	case r >= roleAccX && r <= roleAccZ:
		return unit.Acceleration
	case r >= roleGyrX && r <= roleGyrZ:
		return unit.AngularRate
	case r == roleSpeed:
		return unit.Speed
	case r == roleCadence:
		return unit.Frequency
	}
	return unit.None
}
