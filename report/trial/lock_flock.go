//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package trial

import (
	"errors"
	"os"
	"syscall"
)

// lockFile locks an open file without waiting; a lock that is held is changed.
func lockFile(f *os.File, shared bool) error {
	how := syscall.LOCK_EX
	if shared {
		how = syscall.LOCK_SH
	}
	err := syscall.Flock(int(f.Fd()), how|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return errLocked
	}
	return err
}

// removeLocked removes a file while its lock is still held.
func removeLocked(f *os.File, name string) {
	os.Remove(name)
	f.Close()
}
