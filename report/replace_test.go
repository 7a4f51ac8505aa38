package report

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A move onto a folder that is not empty fails for every user, root included.
func TestAMoveThatFailsIsTakenBack(t *testing.T) {
	root := t.TempDir()
	dir, made, old := filepath.Join(root, "dir"), filepath.Join(root, "new"), filepath.Join(root, "old")
	for _, d := range []string{dir, made, filepath.Join(old, PageName, "x")} {
		require.NoError(t, os.MkdirAll(d, 0o777))
	}
	for _, name := range []string{"steps.csv", "session.json", PageName} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte("old"), 0o666))
		require.NoError(t, os.WriteFile(filepath.Join(made, name), []byte("new"), 0o666))
	}
	require.Error(t, replace(dir, made, old))
	for _, name := range []string{"steps.csv", "session.json", PageName} {
		text, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		require.Equal(t, "old", string(text), name)
	}
}
