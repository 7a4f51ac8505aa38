// Package event finds initial contact, foot-flat and toe-off in the motion of
// one foot or shin, tells walking from running, and matches detected events
// with reference events.
package event

// Gait is the kind of locomotion of one step.
type Gait uint8

// The gaits.
const (
	GaitUnknown Gait = iota
	Walking
	Running
)

// String returns "unknown", "walking" or "running".
func (g Gait) String() string { return [...]string{"unknown", "walking", "running"}[g] }

// MarshalText writes the gait as its word.
func (g Gait) MarshalText() ([]byte, error) { return []byte(g.String()), nil }
