//go:build race

package recording_test

// raced tells that the race detector runs. It makes pools forget at random, so
// that what is allocated says nothing there.
const raced = true
