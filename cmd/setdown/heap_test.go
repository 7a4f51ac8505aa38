package main

import (
	"math"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

func TestTheHeapsRuleFollowsTheSizeOfInputs(t *testing.T) {
	dir := t.TempDir()
	file := func(name string, size int64) sidedPath {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, nil, 0o644))
		require.NoError(t, os.Truncate(path, size))
		return sidedPath{path, recording.Left}
	}
	short, half := file("short.CSV", 1000), file("half.csv", mediumInputs/2+1)
	for _, c := range []struct {
		name   string
		inputs []sidedPath
		want   heapRule
	}{
		{"none", nil, shortHeap()},
		{"short", []sidedPath{short, half}, shortHeap()},
		{"medium together", []sidedPath{half, half}, mediumHeap()},
		{"medium still", []sidedPath{file("a.csv", longInputs)}, mediumHeap()},
		{"long", []sidedPath{short, file("b.txt", longInputs)}, longHeap()},
		{"long still", []sidedPath{file("c.tsv", endlessInputs)}, longHeap()},
		{"endless", []sidedPath{short, file("d.csv", endlessInputs)}, endlessHeap()},
		{"nobody knows what is in it", []sidedPath{file("packed.zip", 1000)}, endlessHeap()},
		{"standard input", []sidedPath{short, {path: "-"}}, endlessHeap()},
		{"a folder", []sidedPath{{path: dir}}, endlessHeap()},
	} {
		require.Equal(t, c.want, heapFor(c.inputs), c.name)
	}
}

// Where much is in use, the rule goes over from a limit, under which the heap would
// be cleared without end, to a share of what is in use.
func TestAFullHeapIsNotClearedWithoutEnd(t *testing.T) {
	t.Setenv("GOGC", "")
	t.Setenv("GOMEMLIMIT", "")
	percent := debug.SetGCPercent(100)
	t.Cleanup(func() { debug.SetMemoryLimit(math.MaxInt64); debug.SetGCPercent(percent) })
	heapRule{16 << 20, 70}.set()
	require.Equal(t, int64(16<<20), debug.SetMemoryLimit(-1))
	full := make([]byte, 64<<20)
	for range 1000 {
		if runtime.GC(); debug.SetMemoryLimit(-1) != 16<<20 {
			break
		}
		time.Sleep(time.Millisecond) // what is called after a clearing runs beside
	}
	runtime.KeepAlive(full)
	require.Equal(t, int64(math.MaxInt64), debug.SetMemoryLimit(-1))
	require.Equal(t, 70, debug.SetGCPercent(70))
}
