package recording_test

import "setdown/signal/unit"

var (
	gUnit     = unit.G
	degUnit   = unit.DegreePerSecond
	countUnit = unit.Unit{Symbol: "counts", Factor: unit.StandardGravity / 122880, Kind: unit.Acceleration}
)
