package gait

import (
	"go/ast"
	"go/format"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pageRow matches a row of the tables of docs/events.md.
var pageRow = regexp.MustCompile("(?m)^(\\| `(\\w+)` \\| )([^|]*)( \\|.*)$")

// constants reads the numbers that packages name, as the page writes them.
func constants(t *testing.T, dirs ...string) map[string]string {
	out := map[string]string{}
	for _, dir := range dirs {
		files, err := filepath.Glob(filepath.Join(dir, "*.go"))
		require.NoError(t, err)
		for _, f := range files {
			if strings.HasSuffix(f, "_test.go") {
				continue
			}
			parsed, err := parser.ParseFile(token.NewFileSet(), f, nil, 0)
			require.NoError(t, err)
			ast.Inspect(parsed, func(n ast.Node) bool {
				if d, ok := n.(*ast.GenDecl); ok && d.Tok == token.CONST {
					addNumbers(t, d, out)
				}
				_, function := n.(*ast.FuncDecl)
				return !function
			})
		}
	}
	return out
}

// addNumbers adds those of a declaration of constants.
func addNumbers(t *testing.T, d *ast.GenDecl, out map[string]string) {
	for _, spec := range d.Specs {
		v := spec.(*ast.ValueSpec)
		for i, x := range v.Values {
			var text strings.Builder
			require.NoError(t, format.Node(&text, token.NewFileSet(), x))
			if literal, ok := x.(*ast.BasicLit); text.String() != "iota" && !(ok && literal.Kind == token.STRING) {
				out[v.Names[i].Name] = asWritten(text.String())
			}
		}
	}
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

// TestEventsPage compares docs/events.md with the source: every number that is named
// there has a row here, with its value, and the other way round. With
// -update it writes the values.
func TestEventsPage(t *testing.T) {
	source := constants(t, "event", "step", filepath.Join("..", "signal", "orient"))
	path := filepath.Join("..", "docs", "events.md")
	raw, err := os.ReadFile(path)
	require.NoError(t, err)
	named := map[string]bool{}
	page := pageRow.ReplaceAllStringFunc(string(raw), func(row string) string {
		m := pageRow.FindStringSubmatch(row)
		value, ok := source[m[2]]
		require.True(t, ok, "docs/events.md names %s, which the source has not", m[2])
		if !*update {
			require.Equal(t, value, m[3], m[2])
		}
		named[m[2]] = true
		return m[1] + value + m[4]
	})
	delete(source, "deg") // a unit
	for _, numeric := range []string{"smallHalf", "medianSteps", "tiltStep", "noTilt"} {
		delete(source, numeric) // of a formula's computation, not of gait
	}
	for name := range source {
		assert.True(t, named[name], "docs/events.md has no row for %s = %s", name, source[name])
	}
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(page), 0o644))
	}
}
