package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

func TestInputsMayBeLongUnlessTheirSizeTellsOtherwise(t *testing.T) {
	dir := t.TempDir()
	file := func(name string, size int64) sidedPath {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, nil, 0o644))
		require.NoError(t, os.Truncate(path, size))
		return sidedPath{path, recording.Left}
	}
	short, half := file("short.CSV", 1000), file("half.csv", longInputs/2+1)
	require.False(t, mayBeLong(nil))
	require.False(t, mayBeLong([]sidedPath{short, half}))
	require.True(t, mayBeLong([]sidedPath{half, half}), "together they are long")
	require.True(t, mayBeLong([]sidedPath{file("packed.zip", 1000)}), "nobody knows what is in it")
	require.True(t, mayBeLong([]sidedPath{short, {path: "-"}}))
	require.True(t, mayBeLong([]sidedPath{{path: dir}}))
}
