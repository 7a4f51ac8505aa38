package gait

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// constantLine matches a constant of the source, and pageRow one of the tables
// of docs/events.md.
var (
	constantLine = regexp.MustCompile(`(?m)^\s*(?:const\s+)?([A-Za-z]\w*)(?:\s*,\s*([A-Za-z]\w*))?\s+=\s+([^/\n]*(?:/ 180)?)`)
	pageRow      = regexp.MustCompile("(?m)^(\\| `(\\w+)` \\| )([^|]*)( \\|.*)$")
)

// constants reads the constants of packages as the page writes them.
func constants(t *testing.T, dirs ...string) map[string]string {
	out := map[string]string{}
	for _, dir := range dirs {
		files, err := filepath.Glob(filepath.Join(dir, "*.go"))
		require.NoError(t, err)
		for _, f := range files {
			if strings.HasSuffix(f, "_test.go") {
				continue
			}
			src, err := os.ReadFile(f)
			require.NoError(t, err)
			for _, m := range constantLine.FindAllStringSubmatch(string(src), -1) {
				first, second, pair := strings.Cut(strings.TrimSpace(m[3]), ", ")
				out[m[1]] = asWritten(first)
				if m[2] != "" && pair {
					out[m[2]] = asWritten(second)
				}
			}
		}
	}
	return out
}

// asWritten turns an angle's expression into degrees.
func asWritten(expression string) string {
	e := strings.TrimSpace(expression)
	for _, suffix := range []string{" * math.Pi / 180", " * deg"} {
		if v, ok := strings.CutSuffix(e, suffix); ok {
			return v + "°"
		}
	}
	if e == "math.Pi / 180" {
		return "1°"
	}
	return e
}

// TestEventsPage compares the values in docs/events.md with the source; with
// -update it writes them.
func TestEventsPage(t *testing.T) {
	source := constants(t, "event", "step")
	path := filepath.Join("..", "docs", "events.md")
	raw, err := os.ReadFile(path)
	require.NoError(t, err)
	rows := 0
	page := pageRow.ReplaceAllStringFunc(string(raw), func(row string) string {
		m := pageRow.FindStringSubmatch(row)
		value, ok := source[m[2]]
		require.True(t, ok, "docs/events.md names %s, which the source has not", m[2])
		if !*update {
			require.Equal(t, value, m[3], m[2])
		}
		rows++
		return m[1] + value + m[4]
	})
	require.Greater(t, rows, 40)
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(page), 0o644))
	}
}
