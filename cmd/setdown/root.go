package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"runtime/debug"
	"strconv"
	"strings"
	"syscall"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"setdown/report"
	"setdown/signal/recording"
)

// version of the tool, as printed and written into results.
const version = "0.1.0"

// The exit statuses.
const (
	exitDone        = 0
	exitFailed      = 1
	exitUsage       = 2
	exitSomeFailed  = 3
	exitInterrupted = 130
)

// console is where a command reads and writes.
type console struct {
	in       io.Reader
	out, err io.Writer
	verbose  bool
}

// usageError marks a mistake in the command line.
type usageError struct {
	msg, hint string
}

func (e *usageError) Error() string { return e.msg }

// someFailed says that part of a batch failed; the rest is done.
type someFailed struct{ msg string }

func (e *someFailed) Error() string { return e.msg }

// run is the whole program: it returns the exit status.
func run(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer) int {
	printed := &heard{to: out}
	c := &console{in: &endedBy{ctx, in}, out: printed, err: errOut}
	root := newRootCommand(c)
	root.SetArgs(args)
	cmd, err := root.ExecuteContextC(ctx)
	if err == nil {
		err = printed.failure()
	}
	if err == nil {
		return exitDone
	}
	status := statusOf(ctx, err)
	hint := hintOf(err)
	if hint == "" && (status == exitFailed || status == exitUsage) {
		hint = "type: " + cmd.CommandPath() + " --help"
	}
	c.fail(err, hint)
	return status
}

// newRootCommand builds the whole command tree anew, so that tests can.
func newRootCommand(c *console) *cobra.Command {
	root := &cobra.Command{
		Use:   "setdown",
		Short: "Is one foot dropped rather than set down after the heel lands?",
		Long: `setdown reads accelerometer and gyroscope recordings of foot sensors as CSV
files, finds each landing, and tells how the forefoot was lowered to the
ground: how fast, how long, and whether it was slowed or dropped, the injured
against the uninjured side.

Start with:  setdown demo
Then:        setdown analyze --left LEFT.csv --right RIGHT.csv --injured right --out DIR
Or:          setdown serve  (the same as a page in your browser)

LEFT.csv and RIGHT.csv are what your foot sensors exported, and DIR is a new
folder for the report. It is no medical device and makes no diagnosis.`,
		Version:       version,
		SilenceUsage:  true,
		SilenceErrors: true,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return noCommand(cmd, args[0])
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SetIn(c.in)
	root.SetOut(c.out)
	root.SetErr(c.err)
	root.SetVersionTemplate(versionText())
	root.PersistentFlags().BoolVar(&c.verbose, "verbose", false, "also print notes")
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return &usageError{flagWords(err), flagHint(cmd, err)}
	})
	root.AddCommand(commands(c)...)
	root.InitDefaultCompletionCmd()
	refuseArgs(root, "completion")
	return root
}

// refuseArgs lets no command of that name, nor those below it, take an argument.
func refuseArgs(root *cobra.Command, name string) {
	for _, cmd := range root.Commands() {
		if cmd.Name() != name {
			continue
		}
		cmd.Args = noArgs
		for _, below := range cmd.Commands() {
			below.Args = noArgs
		}
	}
}

// noCommand says that a command is unknown, and which ones are spelled nearly so.
func noCommand(cmd *cobra.Command, typed string) error {
	cmd.SuggestionsMinimumDistance = 2 // letters: "analyse", "serv", "dairy"
	hint := "type: " + cmd.CommandPath() + " --help"
	if near := cmd.SuggestionsFor(typed); len(near) > 0 {
		hint = "did you mean " + cmd.CommandPath() + " " + strings.Join(near, ", ") + "? All commands: " + cmd.CommandPath() + " --help"
	}
	path := strings.TrimPrefix(cmd.CommandPath()+" "+typed, "setdown ")
	return &usageError{fmt.Sprintf("there is no command %q", path), hint}
}

// versionText is what --version prints.
func versionText() string {
	text := "setdown " + version
	if info, ok := debug.ReadBuildInfo(); ok {
		text += " (" + info.GoVersion + ")"
	}
	return text + "\n"
}

// fail prints the error as one line, and what to do about it as another.
func (c *console) fail(err error, hint string) {
	fmt.Fprintf(c.err, "setdown: %s\n", oneLine(err))
	if hint != "" {
		fmt.Fprintf(c.err, "setdown: hint: %s\n", hint)
	}
}

// oneLine keeps an error on one line and without the words of the system that
// say nothing to a reader.
func oneLine(err error) string {
	text := err.Error()
	var file *fs.PathError
	if errors.As(err, &file) {
		text = strings.Replace(text, file.Error(), file.Path+": "+file.Err.Error(), 1)
	}
	return strings.Join(strings.Fields(strings.ReplaceAll(text, "\n", "; ")), " ")
}

// flagWords says what is wrong with a flag without the words of the parser.
func flagWords(err error) string {
	var bad *pflag.InvalidValueError
	if !errors.As(err, &bad) {
		return err.Error()
	}
	what := "cannot be read"
	switch bad.GetFlag().Value.Type() {
	case "float64":
		what = "is not a number"
	case "int", "uint64":
		what = "is not a whole number"
	}
	return fmt.Sprintf("--%s %q %s", bad.GetFlag().Name, bad.GetValue(), what)
}

// flagHint says what to type in place of a flag that cannot be read.
func flagHint(cmd *cobra.Command, err error) string {
	var bad *pflag.InvalidValueError
	if errors.As(err, &bad) {
		name, value, kind := bad.GetFlag().Name, bad.GetValue(), bad.GetFlag().Value.Type()
		v, err := strconv.ParseFloat(strings.Replace(value, ",", ".", 1), 64)
		switch {
		case err != nil || math.IsNaN(v) || math.IsInf(v, 0):
		case kind == "float64":
			return fmt.Sprintf("write it with a decimal point: --%s %s", name, strings.Replace(value, ",", ".", 1))
		case kind == "int":
			return fmt.Sprintf("write a whole number, the higher one where it lies between two: --%s %.0f", name, math.Ceil(v))
		}
	}
	return "type: " + cmd.CommandPath() + " --help"
}

// hintOf says what to type next, where that is known.
func hintOf(err error) string {
	var usage *usageError
	var data *recording.Error
	switch {
	case errors.As(err, &usage):
		return usage.hint
	case errors.As(err, &data) && data.Hint != "":
		return data.Hint
	case errors.Is(err, syscall.ENOSPC):
		return "make room on the disk, or name a place on another one"
	case errors.Is(err, syscall.ENAMETOOLONG):
		return "give a shorter name"
	case errors.Is(err, syscall.ELOOP):
		return "a link there leads back to itself; name the file or folder itself"
	case errors.Is(err, report.ErrNowhere):
		return "make the folder that the link leads to, or give another one"
	case errors.Is(err, report.ErrNotEmpty):
		return "give another folder, or add --force to replace an earlier report in it"
	case errors.Is(err, fs.ErrNotExist):
		return "check the name and the folder"
	case errors.Is(err, syscall.ENOTDIR):
		return "there is a file where a folder is needed; give another name"
	case errors.Is(err, syscall.EISDIR):
		return "name a file in it"
	case errors.Is(err, fs.ErrPermission):
		return "check that you may read the input and write to the output folder"
	case errors.As(err, new(*fs.PathError)), errors.As(err, new(*os.LinkError)):
		return "check the name, and that files there can be read and written"
	}
	return ""
}

// statusOf is the only place that turns errors into exit statuses.
func statusOf(ctx context.Context, err error) int {
	var usage *usageError
	var some *someFailed
	switch {
	case ctx.Err() != nil || errors.Is(err, context.Canceled):
		return exitInterrupted
	case errors.As(err, &usage):
		return exitUsage
	case errors.As(err, &some):
		return exitSomeFailed
	}
	return exitFailed
}

// exitStatusHelp ends the help of every command.
const exitStatusHelp = `

Exit status: 0 done, 1 failed, 2 wrong command line, 3 some files failed,
130 interrupted.`
