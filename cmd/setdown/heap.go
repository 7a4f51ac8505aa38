package main

import (
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
)

// How far, in percent of what is in use, the heap may grow before it is cleared.
// Clearing looks through the program's own data too. Of the processor time of a
// 1 min pair it takes a quarter at 50 % and saves no memory, for there is little to
// clear; a 10 min pair takes a tenth less memory at 50 % (docs/performance.md).
const (
	heapGrowth = 150
	// longHeapGrowth is for inputs of more than longInputs bytes, about 5 min of
	// two feet at 200 Hz, or whose size does not tell how long they are.
	longHeapGrowth = 50
	longInputs     = 8 << 20
	// batchHeapGrowth is for a batch, which fills and clears the heap for each
	// recording.
	batchHeapGrowth = 100
)

// setHeapGrowth sets how far the heap may grow, unless the user has.
func setHeapGrowth(percent int) {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(percent)
	}
}

// mayBeLong tells whether inputs are large, or may be.
func mayBeLong(inputs []sidedPath) bool {
	sum := int64(0)
	for _, in := range inputs {
		info, err := os.Stat(in.path)
		plain := slices.Contains([]string{".csv", ".tsv", ".txt"}, strings.ToLower(filepath.Ext(in.path)))
		if err != nil || !info.Mode().IsRegular() || !plain {
			return true
		}
		sum += info.Size()
	}
	return sum > longInputs
}
