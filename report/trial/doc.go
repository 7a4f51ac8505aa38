// Package trial works on a folder of recordings: it finds them, analyses them
// on all cores with bounded memory, keeps what is finished when it is stopped,
// shares the work between machines, and joins the results into tables.
//
// The recipe:
//
//	plan, err := trial.Find(root, trial.FindOptions{})   // what is there, and what was not understood
//	outcome, err := trial.Run(ctx, plan, settings, opt)   // a folder a recording in OUT/recordings
//	err = trial.Assemble(ctx, out)               // tables, data package, methods, quality page
//
// Run with Options.Part does one share only; Merge checks that every share is
// there and assembles. Every file is a function of the inputs, the settings and
// the version: not of the number of workers or parts, the clock or the machine.
package trial
