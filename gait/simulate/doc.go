// Package simulate makes sensor recordings with known truth from a mechanical
// model of the foot.
//
// The foot is a rigid segment. At initial contact it is pinned at the heel and
// falls toe-down under the moment of the contact force; the dorsiflexors, a
// spring and a damper scaled by a control gain (1 healthy, 0 none), slow it;
// the forefoot's contact, a stiff one-sided spring and damper, arrests it. From
// there the foot lies flat, pushes off by rolling over the ball, and swings to
// the next contact. Every angle and position has continuous first and second
// derivatives, so that what a sensor would measure follows from the motion and
// from nothing else. docs/simulator.md has the equations, the origin of the
// constants and what is not modelled.
//
// The recipe:
//
//	s := simulate.Defaults(event.Running) // physical settings, no detector in sight
//	s.Right.Gain = 0.25                   // a weak right side
//	rec := simulate.Run(s)                // nothing is stored but the settings
//	rec.Steps()                           // the truth, a row a step
//	rec.Set()                             // tracks in memory, or
//	rec.WriteCSV(w, recording.Left, recording.Foot, simulate.Plain)
//	rec.WriteTruth(w)
//
// Truth is taken from the noise-free motion of the segment, before the sensor's
// bandwidth, noise, rounding and range. Times of truth are on the clock of the
// sensor of that foot (see SensorSettings).
//
// The package uses types of gait/event and gait/step for its rows. It must not
// call anything that detects or measures: what is judged may not judge itself.
package simulate
