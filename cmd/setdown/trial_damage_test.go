package main

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

// damagedFile is a file that is read, but not whole, and the code of what is said.
type damagedFile struct {
	name, code string
	lines      []string
}

// damagedFiles are all kinds of damage that a recording survives.
func damagedFiles(l []string) []damagedFile {
	join := func(parts ...[]string) []string { return slices.Concat(parts...) }
	clip := slices.Clone(l)
	for i := 1; i < len(clip); i++ {
		cells := strings.Split(clip[i], ",")
		for k := 4; k < 7; k++ {
			var v float64
			fmt.Sscan(cells[k], &v)
			cells[k] = fmt.Sprint(min(250, max(-250, v)))
		}
		clip[i] = strings.Join(cells, ",")
	}
	row := strings.Split(l[699], ",")
	return []damagedFile{
		{"hole", "hole", join(l[:900], l[903:])},
		{"holelong", "hole-long", join(l[:900], l[920:])},
		{"gap", "gap", join(l[:900], l[1100:])},
		{"zeros", "rows-zero", join(l[:900], asRow(l[900:920], "", ",0,0,0,0,0,0"), l[920:])},
		{"heldrows", "rows-held", join(l[:900], asRow(l[900:920], l[899], ""), l[920:])},
		{"nan", "cell-missing", withCell(l, 700, 2, "NaN")},
		{"inf", "cell-missing", withCell(l, 700, 5, "-inf")},
		{"void", "cell-missing", withCell(l, 700, 6, "")},
		{"again", "time-repeated", withCell(l, 700, 0, strings.Split(l[698], ",")[0])},
		{"jump", "time-jump", withCell(l, 700, 0, "999.0")},
		{"doubled", "time-back", join(l[:700], l[600:700], l[700:])},
		{"restart", "clock-restart", join(l, l[1:])},
		{"cutline", "line-short", join(l[:699], []string{strings.Join(row[:3], ",")}, l[700:])},
		{"longline", "line-long", join(l[:699], []string{l[699] + ",1,2"}, l[700:])},
		{"headagain", "heading-again", join(l[:700], l[:1], l[700:])},
		{"clipped", "clipped-gyr", clip},
	}
}

// asRow gives the lines the values of a row, or those given, and leaves them their times.
func asRow(l []string, row, values string) []string {
	if _, v, ok := strings.Cut(row, ","); ok {
		values = "," + v
	}
	out := make([]string, len(l))
	for i, s := range l {
		at, _, _ := strings.Cut(s, ",")
		out[i] = at + values
	}
	return out
}

// tableRows reads a table that batch wrote, by the names of its columns.
func tableRows(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(name)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, name := range rows[0] {
			m[name] = r[i]
		}
		out = append(out, m)
	}
	return out
}

// A tenth of the trial is broken, in every way that ends the reading of a file;
// as many more are damaged and read all the same.
func TestTrialWithEveryKindOfDamageKeepsItsGoodRecordings(t *testing.T) {
	if testing.Short() {
		t.Skip("analyses some hundred recordings; not in -short")
	}
	broken := brokenFiles(t)
	good := len(broken)
	if long() {
		good = 9 * len(broken)
	}
	dir := simulatedTrial(t, good, 4, 25)
	alone := filepath.Join(t.TempDir(), "alone")
	status, _, stderr := call(t, "batch", dir, "--out", alone)
	require.Equal(t, exitDone, status, stderr)

	l := footLines(t, recording.Left, 25, 200)
	other := []byte(text(footLines(t, recording.Right, 25, 200)))
	write := func(name string, data []byte) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), data, 0o666))
	}
	want := map[string]brokenFile{}
	for i, c := range broken {
		base, ext, _ := strings.Cut(c.name, ".")
		name := base + "_left." + strings.Replace(ext, "csv.zip", "zip", 1)
		write(name, []byte(c.data))
		if i%2 == 0 {
			write(base+"_right.csv", other)
		}
		say := strings.NewReplacer(c.name, name)
		want["sub-"+base] = brokenFile{name: name, message: say.Replace(c.message), hint: say.Replace(c.hint)}
	}
	require.NoError(t, os.Symlink("nowhere", filepath.Join(dir, "link_left.csv")))
	want["sub-link"] = brokenFile{name: "link_left.csv", message: "link_left.csv: no such file", hint: "check the name and the folder"}
	write("same_left.csv", []byte(text(l)))
	write("same_right.csv", []byte(text(l)))
	want["sub-same"] = brokenFile{name: "same_right.csv", message: "same_right.csv: is the same recording as same_left.csv", hint: "give the recording of the other foot"}
	hurt := damagedFiles(l)
	for _, d := range hurt {
		write("hurt"+d.name+"_left.csv", []byte(text(d.lines)))
	}

	out := filepath.Join(t.TempDir(), "out")
	status, stdout, stderr := call(t, "batch", dir, "--out", out)
	require.Equal(t, exitSomeFailed, status, stderr)
	total := good + len(want) + len(hurt)
	require.Contains(t, stdout, fmt.Sprintf("%d of %d recordings analysed", good+len(hurt), total), stderr)
	require.Contains(t, stderr, fmt.Sprintf("%d of %d recordings failed; the others are in %s (exit status 3)", len(want), total, out))

	failed, codes := map[string]string{}, map[string][]string{}
	for _, r := range tableRows(t, filepath.Join(out, "remarks.csv")) {
		codes[r["recording"]] = append(codes[r["recording"]], r["code"])
		if r["level"] != "failed" {
			continue
		}
		place := r["file"]
		if r["line"] != "" {
			place += ":" + r["line"]
		}
		failed[r["recording"]] = place + ": " + r["text"] + " | " + r["hint"]
	}
	require.Len(t, failed, len(want))
	for id, c := range want {
		require.Equal(t, c.message+" | "+c.hint, failed[id])
		require.Contains(t, stderr, "setdown: "+id+": "+c.message)
	}
	for _, d := range hurt {
		require.Contains(t, codes["sub-hurt"+d.name], d.code)
	}
	before, after := filesOf(t, filepath.Join(alone, "recordings")), filesOf(t, filepath.Join(out, "recordings"))
	require.NotEmpty(t, before)
	for name, data := range before {
		require.True(t, data == after[name], "%s differs", name)
	}
	t.Logf("%d of %d recordings broken in %d ways, %d damaged; %d files of good recordings unchanged", len(want), total, len(want), len(hurt), len(before))
}
