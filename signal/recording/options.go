package recording

import "fmt"

// CadenceCounts says what a watch's step-rate column counts.
type CadenceCounts uint8

// What a step-rate column may count.
const (
	// CountsUnknown leaves it to the speed column, or to an error that asks.
	CountsUnknown CadenceCounts = iota
	// CountsSteps: the steps of both feet.
	CountsSteps
	// CountsStrides: the strides of one foot.
	CountsStrides
)

// ParseCadenceCounts reads "steps", "strides" or "" (not given).
func ParseCadenceCounts(word string) (CadenceCounts, error) {
	switch word {
	case "":
		return CountsUnknown, nil
	case "steps":
		return CountsSteps, nil
	case "strides":
		return CountsStrides, nil
	}
	return CountsUnknown, fmt.Errorf("%q is unknown; a step rate counts steps (of both feet) or strides (of one foot)", word)
}

// Options say what a file cannot say itself. The zero value is ready for use.
type Options struct {
	// Rate is the sampling rate in Hz for files without time; 0 when not given.
	Rate float64
	// Mapping says by hand which column holds what; nil when not given.
	Mapping *Mapping
	// CadenceCounts is for watch exports.
	CadenceCounts CadenceCounts
	// StepRate says that nothing but the step rate is asked for: a sensor serves
	// with an axis missing.
	StepRate bool
	// Room, where there is one, is used by one set at a time: once the next is
	// opened, the tracks of those before, and blocks of them that were to stay, must
	// not be read any more.
	Room *Room
}
