package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

func TestHeapGrowthFollowsTheSizeOfInputs(t *testing.T) {
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
		want   int
	}{
		{"none", nil, heapGrowth},
		{"short", []sidedPath{short, half}, heapGrowth},
		{"medium together", []sidedPath{half, half}, mediumHeapGrowth},
		{"medium still", []sidedPath{file("a.csv", longInputs)}, mediumHeapGrowth},
		{"long", []sidedPath{short, file("b.txt", longInputs)}, longHeapGrowth},
		{"long still", []sidedPath{file("c.tsv", endlessInputs)}, longHeapGrowth},
		{"endless", []sidedPath{short, file("d.csv", endlessInputs)}, endlessHeapGrowth},
		{"nobody knows what is in it", []sidedPath{file("packed.zip", 1000)}, endlessHeapGrowth},
		{"standard input", []sidedPath{short, {path: "-"}}, endlessHeapGrowth},
		{"a folder", []sidedPath{{path: dir}}, endlessHeapGrowth},
	} {
		require.Equal(t, c.want, growthFor(c.inputs), c.name)
	}
}
