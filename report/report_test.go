package report_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/gait"
	"setdown/report"
	"setdown/signal/remark"
)

func result() *gait.Result {
	return &gait.Result{Version: "0.1.0", Method: gait.Method,
		Remarks: []remark.Remark{{Code: "x", Place: remark.At("a.csv", 1, math.NaN()), Count: 1, Text: "first"}}}
}

// names lists what is in a folder.
func names(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

func put(t *testing.T, dir, name, text string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(dir, 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666))
}

func TestAllFormatsAreWrittenIntoANewFolder(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "a", "b")
	require.NoError(t, report.Write(dir, result(), report.Options{}))
	require.Equal(t, []string{"report.html", "session.json", "steps.csv"}, names(t, dir))
	require.Equal(t, []string{"b"}, names(t, filepath.Join(root, "a")), "nothing temporary is left")
}

func TestChosenFormatsOnly(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	require.NoError(t, report.Write(dir, result(), report.Options{Formats: []report.Format{report.JSON}}))
	require.Equal(t, []string{"session.json"}, names(t, dir))
}

func TestAnEmptyFolderIsUsed(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, report.Write(dir, result(), report.Options{}))
	require.Len(t, names(t, dir), 3)
}

func TestAFolderWithFilesIsRefused(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "out")
	put(t, dir, "notes.txt", "mine")
	require.ErrorIs(t, report.Check(dir, false), report.ErrNotEmpty)
	require.ErrorIs(t, report.Write(dir, result(), report.Options{}), report.ErrNotEmpty)
	require.Equal(t, []string{"notes.txt"}, names(t, dir))
	require.Equal(t, []string{"out"}, names(t, root))
}

func TestForceReplacesAnEarlierReportAndNothingElse(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	put(t, dir, "notes.txt", "mine")
	put(t, dir, "steps.csv", "old")
	put(t, dir, "report.html", "old")
	opt := report.Options{Force: true, Formats: []report.Format{report.CSV, report.JSON}}
	require.NoError(t, report.Write(dir, result(), opt))
	require.Equal(t, []string{"notes.txt", "session.json", "steps.csv"}, names(t, dir), "a page of other numbers must not stay")
	text, err := os.ReadFile(filepath.Join(dir, "steps.csv"))
	require.NoError(t, err)
	require.NotEqual(t, "old", string(text))
}

func TestAFileInThePlaceOfTheFolderIsRefused(t *testing.T) {
	root := t.TempDir()
	put(t, root, "out", "a file")
	require.Error(t, report.Write(filepath.Join(root, "out"), result(), report.Options{Force: true}))
	require.Error(t, report.Write(filepath.Join(root, "out", "deeper"), result(), report.Options{}))
	require.Equal(t, []string{"out"}, names(t, root))
}

// A folder that is there may be another file system, or stand where nothing may be
// written beside it.
func TestAFolderThatIsThereIsWrittenFromWithin(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "out")
	require.NoError(t, os.Mkdir(dir, 0o777))
	before, err := os.Stat(root)
	require.NoError(t, err)
	require.NoError(t, os.Chtimes(root, before.ModTime().Add(-time.Hour), before.ModTime().Add(-time.Hour)))
	before, err = os.Stat(root)
	require.NoError(t, err)
	require.NoError(t, report.Write(dir, result(), report.Options{}))
	require.Equal(t, []string{"report.html", "session.json", "steps.csv"}, names(t, dir))
	after, err := os.Stat(root)
	require.NoError(t, err)
	require.Equal(t, before.ModTime(), after.ModTime(), "nothing was made beside the folder")
}

func TestWhatAKillLeftBehindDoesNotFillAFolder(t *testing.T) {
	dir := t.TempDir()
	put(t, filepath.Join(dir, ".setdown-1", "new"), "steps.csv", "half")
	require.NoError(t, report.Check(dir, false))
}

// A report that was said to be written and is nowhere is worse than none.
func TestALinkThatLeadsNowhereIsRefused(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "out")
	if err := os.Symlink("nowhere", dir); err != nil {
		t.Skip("no links here: ", err)
	}
	require.ErrorIs(t, report.Check(dir, false), report.ErrNowhere)
	require.ErrorIs(t, report.Write(dir, result(), report.Options{Force: true}), report.ErrNowhere)
	require.NoError(t, os.Mkdir(filepath.Join(root, "nowhere"), 0o777))
	require.NoError(t, report.Write(dir, result(), report.Options{}))
	require.Equal(t, []string{"report.html", "session.json", "steps.csv"}, names(t, filepath.Join(root, "nowhere")))
}

func TestFormatsAreRead(t *testing.T) {
	f, err := report.ParseFormats("json, CSV,json")
	require.NoError(t, err)
	require.Equal(t, []report.Format{report.JSON, report.CSV}, f)
	_, err = report.ParseFormats("csv,pdf")
	require.ErrorContains(t, err, `no format "pdf"`)
	_, err = report.ParseFormats("")
	require.Error(t, err)
}
