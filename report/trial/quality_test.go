package trial_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/report/page"
	"setdown/report/trial"
	"setdown/signal/recording"
)

func TestQualityPagePointsAtTheOddOnes(t *testing.T) {
	dir := pairs(t, 3)
	put(t, dir, "bad_left.csv", []byte("<script>alert(1)</script>\n"))
	lines := strings.SplitAfter(string(simulated(t, 1, recording.Left)), "\n")
	put(t, dir, "p1_left.csv", []byte(strings.Join(append(lines[:2500:2500], lines[2900:]...), "")))
	put(t, dir, "p4_left.csv", simulated(t, 4, recording.Left))
	out, _ := batch(t, dir, trial.Options{})
	files := tree(t, out)
	text := files[trial.QualityName]
	require.Contains(t, text, "<h1>4 of 5 recordings were analysed; 1 could not be, and ")
	require.Contains(t, text, page.Limits)
	require.NotContains(t, text, "<script>")
	require.NotRegexp(t, regexp.MustCompile(`(src|href)="(http|//)`), text)
	row := func(id string) string {
		i := strings.Index(text, ">"+id+"</a></th>")
		require.Positive(t, i, id)
		end := strings.Index(text[i:], "</tr>")
		return text[i : i+end]
	}
	require.Contains(t, row("sub-p1"), "■", "a gap is a loss")
	require.Contains(t, row("sub-p4"), "■ 1", "one side is missing")
	require.NotContains(t, row("sub-p2"), "■")
	// Every link leads to a page that was written.
	for _, m := range regexp.MustCompile(`href="(recordings/[^"]+)"`).FindAllStringSubmatch(text, -1) {
		require.Contains(t, files, m[1])
		require.Contains(t, files[m[1]], page.Limits)
	}
}

func TestOneRunUnderTwoNamesIsPointedOut(t *testing.T) {
	dir := pairs(t, 2)
	const line = "the same file in 2 places: sub-p1 (p1_left.csv), sub-p7 (p7_left.csv)"
	run := func(workers int, want []string) string {
		out := filepath.Join(t.TempDir(), "out")
		outcome, err := trial.Run(t.Context(), find(t, dir), settings, trial.Options{Out: out, Workers: workers})
		require.NoError(t, err)
		require.Equal(t, want, outcome.Twice)
		_, err = trial.Assemble(t.Context(), out)
		require.NoError(t, err)
		return tree(t, out)[trial.QualityName]
	}
	require.NotContains(t, run(2, nil), "The same file")
	put(t, dir, "p7_left.csv", simulated(t, 1, recording.Left)) // that of p1 again
	for _, workers := range []int{1, 4} {
		text := run(workers, []string{line})
		require.Contains(t, text, line)
		row := regexp.MustCompile(`>sub-p1</a></th>(.*?)</tr>`).FindStringSubmatch(text)
		require.Len(t, row, 2)
		require.Contains(t, row[1], "○ 1")
	}
}

// Who reads the tables alone must see what the quality page points at.
func TestTablesTellOfAMissingFootAndOfAFileThatStandsTwice(t *testing.T) {
	dir := pairs(t, 2)
	put(t, dir, "p2_right.csv", simulated(t, 1, recording.Right)) // that of p1 again
	put(t, dir, "p3_left.csv", simulated(t, 3, recording.Left))
	put(t, dir, "p4.csv", simulated(t, 4, recording.Left))
	out, _ := batch(t, dir, trial.Options{})
	counts := map[string]string{}
	for _, r := range rows(t, out, trial.SessionsSheet) {
		counts[r["recording"]] = r["doubts"] + " doubts, " + r["losses"] + " losses"
	}
	require.Equal(t, map[string]string{"sub-p1": "1 doubts, 0 losses", "sub-p2": "1 doubts, 0 losses",
		"sub-p3": "0 doubts, 1 losses", "sub-p4": "0 doubts, 3 losses"}, counts)
	told := map[string]string{}
	for _, r := range rows(t, out, trial.RemarksSheet) {
		if r["level"] != "note" {
			told[r["recording"]] += r["level"] + " " + r["code"] + " " + r["file"] + " " + r["text"] + "\n"
		}
	}
	const more = " too: one run counted more than once makes people or sessions look alike\n"
	require.Equal(t, "doubt same-file p1_right.csv the same file is in sub-p2 (p2_right.csv)"+more, told["sub-p1"])
	require.Equal(t, "doubt same-file p2_right.csv the same file is in sub-p1 (p1_right.csv)"+more, told["sub-p2"])
	require.Equal(t, "loss side-missing  no file of the right foot belongs to this recording; if there is one, its name or labels differ: the feet are not compared\n", told["sub-p3"])
	require.Contains(t, told["sub-p4"], "loss side-unknown p4.csv does not say which foot")
	require.Contains(t, told["sub-p4"], "loss side-missing  no file is known to be of the left foot")
	text, err := os.ReadFile(filepath.Join(out, trial.PackageName))
	require.NoError(t, err)
	checkCells(t, out, text)
}

func TestMethodsHoldEverySetting(t *testing.T) {
	out := twoPairs(t)
	text := tree(t, out)[trial.MethodsName]
	for _, want := range []string{"setdown test", "method ", "seed 1", "2 could be analysed and 0 could not", "200 Hz (4)", "Altman & Davis 2012", "| Peak lowering rate | 2 |",
		"recordings found by: file names\n", "; 95 % interval from order statistics of the sides"} {
		require.Contains(t, text, want)
	}
}
