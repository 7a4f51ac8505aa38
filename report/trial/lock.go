package trial

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// lockName is the file in an output folder that is locked while a run works in
// it. The lock belongs to the open file, so that it ends with the program, however
// that ends; only the file may stay behind, and the next run takes it over.
const lockName = tempPrefix + "lock"

// ErrBusy is returned, with the folder, when another run works in it.
var ErrBusy = errors.New("another batch is working in this folder")

// errLocked is what the system's lock says when another holds it.
var errLocked = errors.New("locked")

// lock keeps other runs out of an output folder, which must exist; parts of one
// trial share it. Where the file system has no locks, nothing is kept out. The
// returned function gives the folder free.
func lock(out string, shared bool) (free func(), err error) {
	name := filepath.Join(out, lockName)
	for {
		f, err := os.OpenFile(name, os.O_CREATE|os.O_RDWR, 0o666)
		if err != nil {
			return nil, err
		}
		err = lockFile(f, shared)
		if errors.Is(err, errLocked) {
			f.Close()
			return nil, fmt.Errorf("%s: %w", out, ErrBusy)
		}
		if err != nil {
			f.Close()
			os.Remove(name)
			return func() {}, nil // the file system has no locks
		}
		if current(f, name) {
			return func() { give(f, name) }, nil
		}
		f.Close() // the one before has just removed it: begin again
	}
}

// Lock keeps a folder, which must exist, for one program until the returned function
// is called or the program ends, however it ends. The error wraps ErrBusy when
// another has it. Where the file system has no locks, nothing is kept out.
func Lock(dir string) (free func(), err error) { return lock(dir, false) }

// current tells whether the open file is still the one of that name.
func current(f *os.File, name string) bool {
	mine, err1 := f.Stat()
	there, err2 := os.Stat(name)
	return err1 == nil && err2 == nil && os.SameFile(mine, there)
}

// give frees a lock. The file is removed only by a run that is alone in the
// folder: others that share it still stand on it.
func give(f *os.File, name string) {
	if lockFile(f, false) == nil && current(f, name) {
		removeLocked(f, name)
		return
	}
	f.Close()
}
