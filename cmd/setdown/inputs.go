package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/pflag"

	"setdown/gait/asymmetry"
	"setdown/signal/recording"
)

// inputFlags are the flags of every command that reads recordings.
type inputFlags struct {
	sided     []sidedPath
	oneSensor bool
	rate      float64
	columns   string
	counts    string
}

// sidedPath is one --left or --right.
type sidedPath struct {
	path string
	side recording.Side
}

// sameFile says whether p and q are one file for one side: its steps would be
// counted twice. One file for both sides is refused where it is opened.
func (p sidedPath) sameFile(q sidedPath) bool {
	if p.path == "-" && q.path == "-" {
		return true // whatever the side: it can be read once
	}
	if p.side != q.side {
		return false
	}
	a, err1 := os.Stat(p.path)
	b, err2 := os.Stat(q.path)
	return err1 == nil && err2 == nil && os.SameFile(a, b)
}

// sideValue collects --left and --right in the order of the command line.
type sideValue struct {
	to   *[]sidedPath
	side recording.Side
}

func (v *sideValue) String() string { return "" }
func (v *sideValue) Type() string   { return "FILE" }
func (v *sideValue) Set(path string) error {
	*v.to = append(*v.to, sidedPath{path, v.side})
	return nil
}

func (f *inputFlags) add(flags *pflag.FlagSet, sides bool) {
	if sides {
		flags.Var(&sideValue{&f.sided, recording.Left}, "left", "recording of the left foot (may be repeated)")
		flags.Var(&sideValue{&f.sided, recording.Right}, "right", "recording of the right foot (may be repeated)")
		flags.BoolVar(&f.oneSensor, "one-sensor", false, "one sensor was moved from side to side; the files stand in the order in which they were recorded")
	}
	flags.Float64Var(&f.rate, "rate", 0, "samples a second, for files without a time column")
	flags.StringVar(&f.counts, "cadence-counts", "", "what a watch's step rate counts: steps of both feet, or strides of one")
	flags.StringVar(&f.columns, "columns", "", "file that says which column holds what (see setdown inspect --save)")
}

// recordings are the names of all recordings, those among files and those by flags.
func (f *inputFlags) recordings(files []string) []string {
	out := slices.Clone(files)
	for _, p := range f.sided {
		out = append(out, p.path)
	}
	return out
}

// sources turns files and flags into sources; "-" is standard input.
func (f *inputFlags) sources(c *console, files []string) ([]recording.Source, error) {
	var out []recording.Source
	add := func(path string, side recording.Side) error {
		s, err := c.source(path, side)
		out = append(out, s)
		return err
	}
	all := f.sided
	for _, p := range files {
		all = append(all, sidedPath{p, recording.SideUnknown})
	}
	heapFor(all).set()
	for i, p := range all {
		if p.path == "" {
			return nil, &usageError{"the name of a file is empty", "name the recording; a name with spaces or from a variable needs quotes"}
		}
		if slices.ContainsFunc(all[:i], p.sameFile) {
			return nil, &usageError{p.path + ": given twice", "give each file once; standard input, -, is one file"}
		}
		if err := add(p.path, p.side); err != nil {
			return nil, err
		}
	}
	if len(out) == 0 {
		return nil, &usageError{"no recording given", "type: setdown analyze --left LEFT.csv --right RIGHT.csv --out DIR"}
	}
	return out, nil
}

// source is a file by its path. What can be read once only, "-" and a pipe, is read
// into memory: a source is opened more than once.
func (c *console) source(path string, side recording.Side) (recording.Source, error) {
	if path == "-" {
		return recording.FromReader("standard input", c.in, side)
	}
	info, err := os.Stat(path)
	if err != nil || info.Mode().IsRegular() || info.IsDir() {
		return recording.File(path, side), nil
	}
	f, err := os.Open(path)
	if err != nil {
		return recording.Source{}, err
	}
	defer f.Close()
	return recording.FromReader(filepath.Base(path), f, side)
}

// options reads the mapping file, if there is one.
func (f *inputFlags) options() (recording.Options, error) {
	opt := recording.Options{Rate: f.rate}
	if f.rate < 0 {
		return opt, &usageError{fmt.Sprintf("--rate %g is not a sampling rate", f.rate), "give samples a second, for example --rate 200"}
	}
	var err error
	if opt.CadenceCounts, err = recording.ParseCadenceCounts(f.counts); err != nil {
		return opt, &usageError{fmt.Sprintf("--cadence-counts %q is unknown", f.counts), "use steps (of both feet) or strides (of one foot)"}
	}
	if f.columns == "" {
		return opt, nil
	}
	file, err := os.Open(f.columns)
	if err != nil {
		return opt, err
	}
	defer file.Close()
	opt.Mapping, err = recording.ParseMapping(f.columns, file)
	return opt, err
}

// parseInjured reads --injured.
func parseInjured(word string) (asymmetry.Injured, error) {
	for _, i := range []asymmetry.Injured{asymmetry.InjuredUnknown, asymmetry.InjuredLeft, asymmetry.InjuredRight, asymmetry.InjuredBoth} {
		if word == i.String() {
			return i, nil
		}
	}
	return 0, &usageError{fmt.Sprintf("--injured %q is not a side", word), "use left, right, both or unknown"}
}
