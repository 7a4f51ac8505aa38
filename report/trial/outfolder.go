package trial

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// enter makes the output folder and locks it.
func enter(plan *Plan, opt Options) (free func(), err error) {
	if err := checkOut(plan, opt); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(opt.Out, 0o777); err != nil {
		return nil, err
	}
	return lock(opt.Out, !opt.Share.Whole())
}

// truePath is a whole path without links, so that two ways to write one place are
// equal. What does not exist yet stays as it is written.
func truePath(path string) (string, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	rest := ""
	for there := path; there != filepath.Dir(there); there = filepath.Dir(there) {
		if whole, err := filepath.EvalSymlinks(there); err == nil {
			return filepath.Join(whole, rest), nil
		}
		rest = filepath.Join(filepath.Base(there), rest)
	}
	return path, nil
}

// holdsInput refuses an output folder that is the folder of the recordings or holds it.
func holdsInput(root, out string) error {
	in, err1 := truePath(root)
	to, err2 := truePath(out)
	if err := errors.Join(err1, err2); err != nil {
		return err
	}
	between := string(filepath.Separator)
	if in == to || strings.HasPrefix(in, strings.TrimSuffix(to, between)+between) {
		return fmt.Errorf("%s: %w", out, ErrHoldsInput)
	}
	return nil
}

// checkOut refuses a folder that is not ours, and the input folder itself.
func checkOut(plan *Plan, opt Options) error {
	if plan.Root != "" {
		if err := holdsInput(plan.Root, opt.Out); err != nil {
			return err
		}
	}
	entries, err := os.ReadDir(opt.Out)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	entries = slices.DeleteFunc(entries, func(e os.DirEntry) bool { return e.Name() == lockName })
	if len(entries) > 0 && !opt.Force && !exists(filepath.Join(opt.Out, planName)) && !exists(filepath.Join(opt.Out, recordingsDir)) {
		return fmt.Errorf("%s: %w", opt.Out, ErrForeign)
	}
	return nil
}

// clear removes what killed runs left unfinished. Only a run of the whole
// trial does: beside it no other task works in the folder.
func clear(out string) error {
	for _, pattern := range []string{filepath.Join(out, tempPrefix+"*"), filepath.Join(out, recordingsDir, tempPrefix+"*")} {
		left, err := filepath.Glob(pattern)
		if err != nil {
			return err
		}
		for _, name := range left {
			if filepath.Base(name) == lockName {
				continue
			}
			if err := os.RemoveAll(name); err != nil {
				return err
			}
		}
	}
	return nil
}
