package trial_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/unicode"

	"setdown/report/trial"
)

// link makes a link, or skips where the system has none for this user.
func link(t *testing.T, to, name string) {
	t.Helper()
	if err := os.Symlink(to, name); err != nil {
		t.Skip("no links here: ", err)
	}
}

// The same folder written in other ways is the same trial.
func TestHoweverTheFolderIsWrittenTheTrialIsTheSame(t *testing.T) {
	top := t.TempDir()
	put(t, top, "trial/a_left.csv", nil)
	put(t, top, "trial/b/right.csv", nil)
	link(t, "trial", filepath.Join(top, "link"))
	t.Chdir(filepath.Join(top, "trial", "b"))
	want := listed(find(t, filepath.Join(top, "trial")))
	require.Len(t, want, 2)
	for _, root := range []string{filepath.Join(top, "link"), filepath.Join(top, "link") + "/", "..", "../", "../../link", "../../trial/./b/.."} {
		require.Equal(t, want, listed(find(t, root)), root)
	}
}

// A manifest, its files and the folder may each be written from here or from the
// top: the files are those that were named, never others of their name.
func TestManifestAndFolderMayBeWrittenInTwoWays(t *testing.T) {
	top := t.TempDir()
	put(t, top, "trial/s/left.csv", []byte("meant"))
	put(t, top, "trial/left.csv", []byte("another"))
	put(t, top, "whole.csv", []byte("subject,file\n1,"+filepath.ToSlash(filepath.Join(top, "trial", "s", "left.csv"))+"\n"))
	put(t, top, "short.csv", []byte("subject,file\n1,trial/s/left.csv\n"))
	t.Chdir(top)
	for _, root := range []string{"trial", "./trial/", filepath.Join(top, "trial")} {
		for _, m := range []string{"whole.csv", "short.csv", filepath.Join(top, "short.csv"), filepath.Join(top, "whole.csv")} {
			p, err := trial.Find(root, trial.FindOptions{Manifest: m})
			require.NoError(t, err)
			require.Equal(t, []string{"sub-1   s/left.csv"}, listed(p), "%s %s", root, m)
			require.Empty(t, p.Doubts)
		}
	}
}

func TestManifestsOfSpreadsheetsAreRead(t *testing.T) {
	wide, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().String("subject\tside\tfile\r\n1\tl\tx.csv\r\n")
	require.NoError(t, err)
	for name, text := range map[string]string{"semicolons": "subject;side;file\r\n1;l;x.csv\r\n", "tabs": "subject\tside\tfile\n1\tl\tx.csv\n", "UTF-16": wide, "returns": "subject,side,file\r1,l,x.csv\r"} {
		dir := t.TempDir()
		put(t, dir, "x.csv", nil)
		put(t, dir, "manifest.csv", []byte(text))
		p := find(t, dir)
		require.Equal(t, []string{"sub-1  left x.csv"}, listed(p), name)
		require.Empty(t, p.Doubts, name)
	}
}

// What a dry run is for: files of a manifest that are not there.
func TestFilesThatAreNotThereAreDoubtedAndKept(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "a/x.csv", nil)
	put(t, dir, "manifest.csv", []byte("subject,file\n1,none.csv\n2,a\n3,a/x.csv\n"))
	p := find(t, dir)
	require.Len(t, p.Items, 3)
	require.Equal(t, []string{`manifest.csv:2: column "file": there is no file none.csv`, `manifest.csv:3: column "file": a is a folder`}, doubts(p))
}

// Results of an earlier batch, written into the trial, are no recordings.
func TestEarlierResultsInTheTrialAreNoRecordings(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "a_left.csv", []byte("x"))
	want := listed(find(t, dir))
	_, err := trial.Run(context.Background(), find(t, dir), settings, trial.Options{Out: filepath.Join(dir, "results")})
	require.NoError(t, err)
	p := find(t, dir)
	require.Equal(t, want, listed(p))
	require.Equal(t, []string{"results: left out: it holds what an earlier batch wrote, not recordings"}, doubts(p))
	p, err = trial.Find(dir, trial.FindOptions{Skip: []string{filepath.Join(dir, "results")}})
	require.NoError(t, err)
	require.Empty(t, p.Doubts)
}

// A folder that is written to is the same folder through a link.
func TestTheOutputFolderIsKnownThroughLinks(t *testing.T) {
	top := t.TempDir()
	put(t, top, "trial/a_left.csv", nil)
	put(t, top, "trial/out/b_left.csv", nil)
	link(t, "trial", filepath.Join(top, "link"))
	link(t, top, filepath.Join(top, "around"))
	p, err := trial.Find(filepath.Join(top, "trial"), trial.FindOptions{Skip: []string{filepath.Join(top, "link", "out")}})
	require.NoError(t, err)
	require.Len(t, p.Items, 1)
	for _, out := range []string{"link", "around", "around/link", "around/trial/../trial"} {
		_, err := trial.Run(context.Background(), p, settings, trial.Options{Out: filepath.Join(top, out), Force: true})
		require.ErrorIs(t, err, trial.ErrHoldsInput, out)
	}
}

func TestLinksToFoldersAreNotFollowedAndSaidSo(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "a_left.csv", nil)
	link(t, ".", filepath.Join(dir, "round"))
	link(t, "nowhere", filepath.Join(dir, "gone_left.csv"))
	p := find(t, dir)
	require.Equal(t, []string{"sub-a  left a_left.csv", "sub-gone  left gone_left.csv"}, listed(p))
	require.Equal(t, []string{"round: left out: links to folders are not followed; name the files behind it in manifest.csv"}, doubts(p))
}
