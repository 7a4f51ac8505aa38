package casebook

import (
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// A file system of one megabyte that runs full: the session is refused with a
// plain error, and the casebook is sound and as it was. Needs the right to
// mount, else it says so; TestFullDisk covers the same path without it.
func TestFullFileSystem(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=1m"); err != nil {
		t.Skipf("mounting a small file system is not allowed here: %v", err)
	}
	defer func() { require.NoError(t, syscall.Unmount(dir, 0)) }()
	b, err := Create(t.Context(), filepath.Join(dir, "x.casebook"))
	require.NoError(t, err)
	defer b.Close()
	c := newCase(t, b, "fox")
	added := 0
	for i := range 100 {
		if _, err = b.AddSession(t.Context(), c.ID, form(i), sources(uint64(i), 50_000), analysis("1"), now); err != nil {
			break
		}
		added++
	}
	require.Error(t, err)
	require.ErrorContains(t, err, "disk")
	t.Logf("after %d sessions: %v", added, err)
	require.Len(t, sessions(t, b, c), added)
	require.NoError(t, b.Check(t.Context()))
}
