package main

import (
	"bytes"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// layers is the flow of data: a package may import only packages above its own
// line, and its own sub-packages may import it.
var layers = []string{
	"signal/unit", "signal/remark", "signal/decimal", "signal/recording", "signal/filter", "signal/spectrum", "signal/orient",
	"gait/estimate", "gait/event", "gait/cadence", "gait/step", "gait/session", "gait/asymmetry", "gait/agreement",
	"gait/diary", "gait/recovery", "gait/simulate", "gait",
	"report/figure", "report/table", "report/page", "report", "report/trial", "report/casebook", "report/web",
	"cmd/setdown",
}

// layer returns the line of a package, given without the module's name; −1
// when it has none.
func layer(pkg string) int {
	for p := pkg; p != "."; p = path.Dir(p) {
		if i := slices.Index(layers, p); i >= 0 && (p == pkg || p != "gait" && p != "report") {
			return i
		}
	}
	return -1
}

// sourceFiles calls f for every Go file of the project, tests left out.
func sourceFiles(t *testing.T, f func(name, pkg string, file *ast.File)) {
	root := filepath.Join("..", "..")
	set := token.NewFileSet()
	err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (strings.HasPrefix(d.Name(), ".") && name != root || d.Name() == "node_modules") {
			return fs.SkipDir
		}
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		rel, err := filepath.Rel(root, name)
		if err != nil {
			return err
		}
		src, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if bytes.HasPrefix(src, []byte("//go:build ignore")) {
			return nil // a generator, no part of its package
		}
		file, err := parser.ParseFile(set, name, src, parser.ParseComments)
		if err != nil {
			return err
		}
		f(filepath.ToSlash(rel), path.Dir(filepath.ToSlash(rel)), file)
		return nil
	})
	require.NoError(t, err)
}

func TestPackagesImportOnlyEarlierOnes(t *testing.T) {
	seen := 0
	sourceFiles(t, func(name, pkg string, file *ast.File) {
		if strings.HasPrefix(pkg, "testdata") || strings.HasPrefix(pkg, "docs") {
			return
		}
		own := layer(pkg)
		require.GreaterOrEqual(t, own, 0, "%s: package %s has no place in the flow of data", name, pkg)
		for _, imp := range file.Imports {
			target, err := strconv.Unquote(imp.Path.Value)
			require.NoError(t, err)
			target, ours := strings.CutPrefix(target, "setdown/")
			if !ours {
				continue
			}
			seen++
			inside := strings.HasPrefix(pkg, target+"/") || strings.HasPrefix(target, pkg+"/") && layer(target) == own
			require.True(t, inside || layer(target) < own && layer(target) >= 0, "%s imports %s, which is not above it", name, target)
		}
	})
	require.Greater(t, seen, 20, "the test looked at the wrong place")
}

func TestEveryExportedNameHasAComment(t *testing.T) {
	sourceFiles(t, func(name, pkg string, file *ast.File) {
		for _, d := range file.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				if d.Name.IsExported() && receiverExported(d) {
					require.NotNil(t, d.Doc, "%s: %s has no comment", name, d.Name.Name)
				}
			case *ast.GenDecl:
				for _, s := range d.Specs {
					if ts, ok := s.(*ast.TypeSpec); ok && ts.Name.IsExported() {
						require.True(t, d.Doc != nil || ts.Doc != nil, "%s: type %s has no comment", name, ts.Name.Name)
					}
				}
			}
		}
	})
}

func receiverExported(d *ast.FuncDecl) bool {
	if d.Recv == nil {
		return true
	}
	typ := d.Recv.List[0].Type
	if star, ok := typ.(*ast.StarExpr); ok {
		typ = star.X
	}
	id, ok := typ.(*ast.Ident)
	return ok && id.IsExported()
}

// What git ignores is no part of the project: the README's first command leaves
// its pages beside it, and the second must pass then too.
func TestTopLevelHoldsNothingElse(t *testing.T) {
	root := filepath.Join("..", "..")
	entries, err := os.ReadDir(root)
	require.NoError(t, err)
	ignored, err := os.ReadFile(filepath.Join(root, ".gitignore"))
	require.NoError(t, err)
	made := strings.Fields(string(ignored))
	require.Contains(t, made, "/"+demoFolder+"/", "what the demo writes")
	allowed := []string{"README.md", "DEVELOPERS.md", "go.mod", "go.sum", "cmd", "signal", "gait", "report", "testdata", "docs"}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".") || slices.Contains(made, "/"+e.Name()+"/") || slices.Contains(made, "/"+e.Name()) {
			continue
		}
		require.Contains(t, allowed, e.Name())
	}
}
