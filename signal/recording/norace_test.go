//go:build !race

package recording_test

// raced tells that the race detector runs.
const raced = false
