package trial

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// lockFile locks an open file without waiting. A lock that is held is given up
// first, since Windows would count it as another's.
func lockFile(f *os.File, shared bool) error {
	h, at := windows.Handle(f.Fd()), new(windows.Overlapped)
	_ = windows.UnlockFileEx(h, 0, 1, 0, at)
	how := uint32(windows.LOCKFILE_FAIL_IMMEDIATELY)
	if !shared {
		how |= windows.LOCKFILE_EXCLUSIVE_LOCK
	}
	err := windows.LockFileEx(h, how, 0, 1, 0, at)
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) || errors.Is(err, windows.ERROR_IO_PENDING) {
		return errLocked
	}
	return err
}

// removeLocked closes the file first: Windows removes no open file.
func removeLocked(f *os.File, name string) {
	f.Close()
	os.Remove(name)
}
