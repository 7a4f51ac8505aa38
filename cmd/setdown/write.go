package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Who may read a file that is written.
const (
	forAll   os.FileMode = 0o644
	forOwner os.FileMode = 0o600
)

// writeFile writes a file that all may read, writePrivate one for its owner only.
func writeFile(path string, write func(io.Writer) error) error {
	return writeWhole(path, forAll, write)
}

func writePrivate(path string, write func(io.Writer) error) error {
	return writeWhole(path, forOwner, write)
}

// writeWhole writes a file whole or not at all. An existing file is replaced only
// when it could be written whole, and a link stays one. What is no file, such as
// /dev/stdout, is written to and never replaced.
func writeWhole(path string, mode os.FileMode, write func(io.Writer) error) error {
	info, err := os.Stat(path)
	switch {
	case err == nil && info.IsDir():
		return hinted(fmt.Errorf("%s: is a folder", path), "name a file in it, for example "+filepath.Join(path, "file"))
	case err == nil && !info.Mode().IsRegular():
		return writeThrough(path, write)
	}
	if to, err := filepath.EvalSymlinks(path); err == nil {
		path = to
	}
	if dir := filepath.Dir(path); !isFolder(dir) {
		return hinted(fmt.Errorf("%s: there is no such folder", dir), "make it first, or name a file elsewhere")
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".setdown-*") // mode 0600
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // nothing is left of it after the rename
	if err := errors.Join(write(f), f.Chmod(mode), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

func writeThrough(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return errors.Join(write(f), f.Close())
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// notOver refuses outputs that are one of the inputs, however their names are written.
func notOver(inputs []string, outputs ...string) error {
	for _, in := range inputs {
		for _, out := range outputs {
			a, err1 := os.Stat(in)
			b, err2 := os.Stat(out)
			if err1 == nil && err2 == nil && a.Mode().IsRegular() && os.SameFile(a, b) {
				return &usageError{in + ": would be overwritten, and it is read from", "name another place for what is written"}
			}
		}
	}
	return nil
}
