package main

import (
	"math"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"slices"
	"strings"
)

// heapRule says when the heap is cleared: when all that Go holds has come to limit
// bytes, or, where limit is 0 or more than half of it is in use after a clearing,
// when the heap has grown by percent of what is in use. Clearing looks through the
// program's own data too and stops the work again and again: by the 1 to 4 MiB alone
// that a recording uses at a time it would happen every few MiB.
type heapRule struct {
	limit   int64
	percent int
}

// The inputs from which on another rule holds, bytes.
const (
	mediumInputs  = 8 << 20   // about 5 min of two feet at 200 Hz
	longInputs    = 32 << 20  // about 20 min
	endlessInputs = 128 << 20 // about 80 min
)

// anyHeap is for what is not known to read recordings.
func anyHeap() heapRule { return heapRule{0, 150} }

// shortHeap is for short inputs, in which there is little to clear. Every rule takes
// about as much as its goal allows (docs/performance.md); besides, the program itself
// takes 12 to 15 MiB.
func shortHeap() heapRule { return heapRule{18 << 20, 150} }

// mediumHeap is for inputs of more than mediumInputs: a 10 min pair may take no more
// than a 1 min pair.
func mediumHeap() heapRule { return heapRule{18 << 20, 75} }

// longHeap is for inputs of more than longInputs, which may take half as much again.
func longHeap() heapRule { return heapRule{24 << 20, 150} }

// endlessHeap is for inputs of more than endlessInputs, or whose size does not tell
// how long they are: their steps are what is in use.
func endlessHeap() heapRule { return heapRule{0, 50} }

// batchHeap is for a batch, which fills and clears the heap for each recording.
func batchHeap() heapRule { return heapRule{32 << 20, 100} }

// set lets the rule hold, unless the user has set one.
func (h heapRule) set() {
	switch {
	case os.Getenv("GOGC") != "" || os.Getenv("GOMEMLIMIT") != "":
	case h.limit == 0:
		debug.SetMemoryLimit(math.MaxInt64)
		debug.SetGCPercent(h.percent)
	default:
		debug.SetMemoryLimit(h.limit)
		debug.SetGCPercent(-1)
		h.watch()
	}
}

// watch has cleared called after the next clearing.
func (h heapRule) watch() { runtime.AddCleanup(new([32]byte), heapRule.cleared, h) }

// cleared goes over from the limit to the percentage where clearing would soon do
// nothing else.
func (h heapRule) cleared() {
	if debug.SetMemoryLimit(-1) != h.limit {
		return // another rule holds by now
	}
	used := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	if metrics.Read(used); used[0].Value.Uint64() <= uint64(h.limit)/2 {
		h.watch()
		return
	}
	heapRule{percent: h.percent}.set()
}

// heapFor returns the rule for inputs.
func heapFor(inputs []sidedPath) heapRule {
	switch size, known := sizeOf(inputs); {
	case !known || size > endlessInputs:
		return endlessHeap()
	case size > longInputs:
		return longHeap()
	case size > mediumInputs:
		return mediumHeap()
	}
	return shortHeap()
}

// sizeOf returns how many bytes inputs have in all. It is not known where one is no
// plain table, or its size cannot be asked for.
func sizeOf(inputs []sidedPath) (sum int64, known bool) {
	for _, in := range inputs {
		info, err := os.Stat(in.path)
		plain := slices.Contains([]string{".csv", ".tsv", ".txt"}, strings.ToLower(filepath.Ext(in.path)))
		if err != nil || !info.Mode().IsRegular() || !plain {
			return 0, false
		}
		sum += info.Size()
	}
	return sum, true
}
