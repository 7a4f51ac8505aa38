//go:build !(darwin || dragonfly || freebsd || linux || netbsd || openbsd || windows)

package trial

import (
	"errors"
	"os"
)

// lockFile fails: this system's locks are not known.
func lockFile(*os.File, bool) error { return errors.ErrUnsupported }

func removeLocked(f *os.File, name string) {
	f.Close()
	os.Remove(name)
}
