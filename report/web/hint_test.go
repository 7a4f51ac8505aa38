package web

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Nobody who has a page is told to type something: every hint in the source of
// the packages that read and analyse is tried.
func TestNoHintOnAPageSaysWhatToType(t *testing.T) {
	hint := regexp.MustCompile(`(?:hint\(|Hint:\s*(?:fmt\.Sprintf\()?)"((?:[^"\\]|\\.)*)"`)
	n := 0
	for _, dir := range []string{"../../signal/recording", "../../gait"} {
		files, err := filepath.Glob(dir + "/*.go")
		require.NoError(t, err)
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			text, err := os.ReadFile(name)
			require.NoError(t, err)
			for _, m := range hint.FindAllStringSubmatch(string(text), -1) {
				// A name stands where the message puts it.
				given := regexp.MustCompile(`%[sd]`).ReplaceAllString(m[1], "x.csv")
				if strings.HasSuffix(given, " ") {
					given += "x.csv"
				}
				got := onPage(given)
				require.NotContains(t, got, "--", m[1])
				require.NotContains(t, got, "setdown inspect", m[1])
				require.NotContains(t, got, "setdown cadence", m[1])
				require.NotContains(t, got, "setdown analyze", m[1])
				require.NotEmpty(t, got, m[1])
				n++
			}
		}
	}
	require.Greater(t, n, 25, "the hints are no longer found")
}
