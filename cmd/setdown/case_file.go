package main

import (
	"archive/zip"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"setdown/gait"
	"setdown/report/casebook"
	"setdown/report/page"
)

// fresh refuses to overwrite.
func fresh(path string) error {
	if _, err := os.Stat(path); err == nil {
		return hinted(fmt.Errorf("%s exists", path), "give another name with --out")
	}
	return nil
}

func (t *caseTools) recomputeCommand() *cobra.Command {
	var all bool
	cmd := &cobra.Command{
		Use:   "recompute NAME | --all",
		Short: "Compute sessions again with the present method",
		Long: `recompute analyses again, from the kept recordings, every session that was not
computed with this program's method. Old and new results are kept apart; sessions
of different methods are never pooled.` + exitStatusHelp,
		Args: func(cmd *cobra.Command, args []string) error {
			if all && len(args) == 0 {
				return nil
			}
			return one(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if !all {
				return t.with(cmd.Context(), args[0], func(b *casebook.Book, c casebook.Case, now time.Time) error {
					return t.recompute(cmd.Context(), b, []casebook.Case{c}, now)
				})
			}
			now, err := t.now()
			if err != nil {
				return err
			}
			return t.withAll(cmd.Context(), func(b *casebook.Book, cases []casebook.Case) error {
				return t.recompute(cmd.Context(), b, cases, now)
			})
		},
	}
	cmd.Flags().BoolVar(&all, "all", false, "all cases")
	return cmd
}

func (t *caseTools) recompute(ctx context.Context, b *casebook.Book, cases []casebook.Case, now time.Time) error {
	done, failed := 0, 0
	for _, c := range cases {
		ids, errs, err := b.Recompute(ctx, c.ID, gait.Method, t.analyze, now)
		if err != nil {
			return err
		}
		done, failed = done+len(ids), failed+len(errs)
		for _, e := range errs {
			fmt.Fprintf(t.err, "setdown: %s: %s\n", c.Name, oneLine(e))
		}
	}
	fmt.Fprintf(t.out, "%s computed with method %s.\n", countOf(done, "session"), gait.Method)
	if failed > 0 {
		return &someFailed{countOf(failed, "session") + " could not be computed; the earlier results stay"}
	}
	return nil
}

func (t *caseTools) exportCommand() *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use:   "export NAME --out FILE.zip",
		Short: "Write a whole case as one archive of plain files",
		Long: `export writes the case, its history, diary, exercises, sessions and recordings as
a zip archive of CSV and JSON, described by datapackage.json. import reads it back
without loss. The archive is not encrypted: keep it as you keep a patient file.` + exitStatusHelp,
		Args: one,
		RunE: func(cmd *cobra.Command, args []string) error {
			if out == "" {
				return &usageError{"no file to write to", "add --out FILE.zip"}
			}
			return t.with(cmd.Context(), args[0], func(b *casebook.Book, c casebook.Case, now time.Time) error {
				if err := fresh(out); err != nil {
					return err
				}
				if err := writePrivate(out, func(w io.Writer) error { return b.Export(cmd.Context(), c.ID, w, now) }); err != nil {
					return err
				}
				_, err := fmt.Fprintf(t.out, "Case %s is written to %s. It is not encrypted.\n", c.Name, out)
				return err
			})
		},
	}
	cmd.Flags().StringVarP(&out, "out", "o", "", "the archive to write")
	return cmd
}

func (t *caseTools) importCommand() *cobra.Command {
	var as string
	cmd := &cobra.Command{
		Use:   "import FILE.zip",
		Short: "Read a case back from an archive",
		Long:  "import adds the case of an archive that setdown case export wrote, whole or not at all." + exitStatusHelp,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{"import reads one archive", "type: setdown case import FILE.zip"}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return t.runImport(cmd.Context(), args[0], as) },
	}
	cmd.Flags().StringVar(&as, "as", "", "the pseudonym to keep it under")
	return cmd
}

func (t *caseTools) runImport(ctx context.Context, path, as string) error {
	now, err := t.now()
	if err != nil {
		return err
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	b, err := t.book(ctx, true)
	if err != nil {
		return err
	}
	defer b.Close()
	c, err := b.Import(ctx, f, info.Size(), as, now)
	if errors.Is(err, zip.ErrFormat) {
		return hinted(fmt.Errorf("%s: not an archive", filepath.Base(path)), "name one that the command export wrote")
	}
	if err != nil {
		err = withHint(fmt.Errorf("%s: %w", filepath.Base(path), err))
		if hintOf(err) == "" {
			err = hinted(err, "the archive is damaged or of another kind: write it again with the command export, and name that")
		}
		return err
	}
	_, err = fmt.Fprintf(t.out, "Case %s is read from %s.\n", c.Name, path)
	return err
}

// closeFlags are what a letter says beside the case.
type closeFlags struct {
	by, to, note, on, out string
	keepOpen              bool
}

func (t *caseTools) closeCommand() *cobra.Command {
	var f closeFlags
	cmd := &cobra.Command{
		Use:   "close NAME --by WHO --out LETTER.html",
		Short: "Close a case with a one-page letter",
		Long: `close marks the case as closed and writes a one-page letter for the file or for a
colleague. With --keep-open it writes the letter only. A closed case can still be
read and exported; setdown case change NAME --reopen opens it again.` + exitStatusHelp,
		Args: one,
		RunE: func(cmd *cobra.Command, args []string) error {
			if f.out == "" {
				return &usageError{"no file for the letter", "add --out LETTER.html"}
			}
			return t.with(cmd.Context(), args[0], func(b *casebook.Book, c casebook.Case, now time.Time) error {
				return t.runClose(cmd.Context(), b, c, now, f)
			})
		},
	}
	cmd.Flags().StringVar(&f.by, "by", "", "who writes the letter")
	cmd.Flags().StringVar(&f.to, "to", "", "to whom")
	cmd.Flags().StringVar(&f.note, "note", "", "your own words, a paragraph of the letter")
	cmd.Flags().StringVar(&f.on, "on", "", "day, YYYY-MM-DD (default today)")
	cmd.Flags().StringVarP(&f.out, "out", "o", "", "file to write the letter to")
	cmd.Flags().BoolVar(&f.keepOpen, "keep-open", false, "write the letter and leave the case open")
	return cmd
}

func (t *caseTools) runClose(ctx context.Context, b *casebook.Book, c casebook.Case, now time.Time, f closeFlags) error {
	on, err := day("--on", f.on, now)
	if err != nil {
		return err
	}
	if err := fresh(f.out); err != nil {
		return err
	}
	r, err := b.Review(ctx, c.ID, on, madeBy())
	if err != nil {
		return err
	}
	letter := page.Letter{Review: r, On: on, By: f.by, To: f.to, Note: f.note}
	if err := writePrivate(f.out, func(w io.Writer) error { return page.WriteLetter(w, letter) }); err != nil {
		return err
	}
	if f.keepOpen {
		_, err := fmt.Fprintf(t.out, "Letter: %s\n", f.out)
		return err
	}
	if err := b.CloseCase(ctx, c.ID, on, f.by, f.note, now); err != nil {
		return err
	}
	_, err = fmt.Fprintf(t.out, "Case %s is closed as of %s. Letter: %s\n", c.Name, on, f.out)
	return err
}

func (t *caseTools) deleteCommand() *cobra.Command {
	var yes bool
	var session string
	cmd := &cobra.Command{
		Use:   "delete NAME --yes",
		Short: "Delete a case for good, with its recordings",
		Long: `delete removes a case, its recordings, diary and history, rewrites the casebook so
that nothing of it is left in the file, and removes the copies that setdown itself
left beside the casebook. Exports and copies that you made stay where they are.

With --session it removes one session with its recordings.` + exitStatusHelp,
		Args: one,
		RunE: func(cmd *cobra.Command, args []string) error {
			return t.with(cmd.Context(), args[0], func(b *casebook.Book, c casebook.Case, _ time.Time) error {
				what, drop := "case "+c.Name+" with everything in it", func() error { return b.Delete(cmd.Context(), c.ID) }
				if session != "" {
					what, drop = "session "+session+" of "+c.Name, func() error { return b.DeleteSession(cmd.Context(), c.ID, session) }
				}
				if !yes {
					return &usageError{"this would delete " + what + " for good", "to keep a copy first: setdown case export " + c.Name + " --out FILE.zip; to delete: add --yes"}
				}
				if err := drop(); err != nil {
					return err
				}
				_, err := fmt.Fprintf(t.out, "Deleted: %s. Exports and copies elsewhere are not touched.\n", what)
				return err
			})
		},
	}
	cmd.Flags().BoolVar(&yes, "yes", false, "really delete")
	cmd.Flags().StringVar(&session, "session", "", "delete this session only")
	return cmd
}
