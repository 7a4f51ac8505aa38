package main

import (
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
)

// How far, in percent of what is in use, the heap may grow before it is cleared.
// Clearing looks through the program's own data too and stops the work again and
// again. Each length of recording has the largest growth whose peak its goal
// allows (docs/performance.md).
const (
	// heapGrowth is for short inputs, in which there is little to clear: at 50 %
	// clearing takes a quarter of the processor time of a 1 min pair and saves no
	// memory.
	heapGrowth = 150
	// mediumHeapGrowth is for inputs of more than mediumInputs bytes, about 5 min of
	// two feet at 200 Hz: a 10 min pair may take no more than a 1 min pair. It takes
	// an eighth less time than at 50 % and 1.5 MiB more; 125 % takes 5 MiB more.
	mediumHeapGrowth = 75
	mediumInputs     = 8 << 20
	// longHeapGrowth is for inputs of more than longInputs bytes, about 20 min, which
	// may take half as much again: a 60 min pair takes 8 MiB more and an eighth
	// less time than at 50 %.
	longHeapGrowth = 200
	longInputs     = 32 << 20
	// endlessHeapGrowth is for inputs of more than endlessInputs bytes, about 80 min,
	// or whose size does not tell how long they are: their steps are what is in use.
	endlessHeapGrowth = 50
	endlessInputs     = 128 << 20
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

// growthFor returns how far the heap may grow for inputs.
func growthFor(inputs []sidedPath) int {
	switch size, known := sizeOf(inputs); {
	case !known || size > endlessInputs:
		return endlessHeapGrowth
	case size > longInputs:
		return longHeapGrowth
	case size > mediumInputs:
		return mediumHeapGrowth
	}
	return heapGrowth
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
