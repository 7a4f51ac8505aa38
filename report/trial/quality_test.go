package trial_test

import (
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

func TestMethodsHoldEverySetting(t *testing.T) {
	out := twoPairs(t)
	text := tree(t, out)[trial.MethodsName]
	for _, want := range []string{"setdown test", "method ", "seed 1", "2 could be analysed and 0 could not", "200 Hz (4)", "Altman & Davis 2012", "| Peak lowering rate | 2 |"} {
		require.Contains(t, text, want)
	}
}
