//go:build unix

package trial_test

import (
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// A pipe would be waited for without an end.
func TestAPipeIsNoRecording(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "a_left.csv", nil)
	if err := syscall.Mkfifo(filepath.Join(dir, "b_left.csv"), 0o666); err != nil {
		t.Skip("no pipes here: ", err)
	}
	p := find(t, dir)
	require.Equal(t, []string{"sub-a  left a_left.csv"}, listed(p))
	require.Equal(t, []string{"b_left.csv: left out: it is no file that can be read twice; save the recording in one"}, doubts(p))
}
