package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"setdown/signal/recording"
)

type inspectOptions struct {
	inputFlags
	save string
}

func newInspectCommand(c *console) *cobra.Command {
	var o inspectOptions
	cmd := &cobra.Command{
		Use:   "inspect FILE…",
		Short: "Show what is in a file and how it will be read",
		Long: `inspect shows what it makes of each file before anything is computed: how it is
written, which column holds what and in which unit, and how that was checked;
rate, gaps and clipping; place and side; where the person stands, walks or runs;
and which measures the file can give. --save writes the columns as a file that
can be edited by hand and given to any command with --columns.` + exitStatusHelp,
		Example: "  setdown inspect left.csv right.csv\n  setdown inspect odd.csv --save odd.columns",
		RunE:    func(cmd *cobra.Command, files []string) error { return runInspect(cmd.Context(), c, &o, files) },
	}
	o.add(cmd.Flags(), true)
	cmd.Flags().StringVar(&o.save, "save", "", "write the columns of the one FILE into this file")
	return cmd
}

func runInspect(ctx context.Context, c *console, o *inspectOptions, files []string) error {
	if len(files)+len(o.sided) == 0 {
		return &usageError{"no recording given", "type: setdown inspect FILE"}
	}
	if err := notOver(o.recordings(files), o.save); err != nil {
		return err
	}
	opt, err := o.options()
	if err != nil {
		return err
	}
	sources, err := o.sources(c, files)
	if err != nil {
		return err
	}
	seen, err := recording.Inspect(ctx, sources, opt)
	if err != nil {
		return sketched(err, sources, opt, o.save)
	}
	if o.save != "" {
		if err := saveMapping(seen, sources, opt, o.save); err != nil {
			return err
		}
	}
	for i := range seen.Files {
		showFile(ctx, c.out, seen, &seen.Files[i])
	}
	for _, r := range seen.Remarks.Sorted() {
		fmt.Fprintf(c.out, "%s: %s\n", r.Level, r)
	}
	return nil
}

// unsketched is the error of a file that could not be read, with what to do instead of
// editing its columns where these cannot be written down.
func unsketched(failed error, e *recording.Error, why error) error {
	var w *recording.Error
	if !errors.As(why, &w) || w.Hint == "" || w.Msg == e.Msg {
		return failed
	}
	said := *e
	said.Hint = w.Msg + ": " + w.Hint
	return &said
}

// sketched writes what the headings tell of the one file that could not be read, for
// editing, and says so beside the error; without a path it leaves the error alone.
func sketched(failed error, sources []recording.Source, opt recording.Options, path string) error {
	var e *recording.Error
	if path == "" || len(sources) != 1 || !errors.As(failed, &e) {
		return failed
	}
	m, err := recording.Sketch(sources[0], opt)
	if err != nil {
		return unsketched(failed, e, err)
	}
	err = writeFile(path, func(w io.Writer) error {
		_, err := m.WriteTo(w)
		return err
	})
	if err != nil {
		return err
	}
	said := *e
	said.Hint = fmt.Sprintf("its columns were written into %s; edit them there and type: setdown inspect %s --columns %s", path, sources[0].Name, path)
	return &said
}

// saveMapping writes the mapping of the only file: as it was read, or where that
// cannot be said (several sensors without a side) as far as its headings tell.
func saveMapping(seen *recording.Inspection, sources []recording.Source, opt recording.Options, path string) error {
	if len(seen.Files) != 1 || len(sources) != 1 {
		return &usageError{"--save takes one file", "type: setdown inspect FILE --save " + path}
	}
	m := seen.Files[0].Mapping
	if m == nil {
		var err error
		if m, err = recording.Sketch(sources[0], opt); err != nil {
			return err
		}
	}
	return writeFile(path, func(w io.Writer) error {
		_, err := m.WriteTo(w)
		return err
	})
}
