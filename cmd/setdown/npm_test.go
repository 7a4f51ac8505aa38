package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"setdown/report/table"
	"setdown/report/trial"
)

// profilePackage ships the published profile of tabular data packages, version
// 1, which a version 2 description must still fit: version 2 only adds.
const profilePackage = "datapackage@1.1.10"

// TestNPM lets other people's programs read what a batch wrote.
func TestNPM(t *testing.T) {
	if os.Getenv("SETDOWN_NPM") != "required" {
		t.Skip("set SETDOWN_NPM=required where Node, npm and its registry can be used")
	}
	node := t.TempDir()
	for _, name := range []string{"package.json", "package-lock.json", "read-parquet.mjs"} {
		text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "trial", "npm", name))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(node, name), text, 0o666))
	}
	npm(t, node, "npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund")

	t.Run("hyparquet reads the same values and units", func(t *testing.T) { otherReader(t, node) })
	t.Run("the data package fits the published profile", func(t *testing.T) { publishedProfile(t, node) })
	t.Run("bids-validator passes data set and derivatives", func(t *testing.T) { bidsValidator(t, node) })
}

func npm(t *testing.T, dir, name string, args ...string) []byte {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), name, args...)
	cmd.Dir = dir
	var errs bytes.Buffer
	cmd.Stderr = &errs
	out, err := cmd.Output()
	require.NoError(t, err, "%s%s", out, errs.String())
	return out
}

// someBatch analyses a small trial and returns the output folder.
func someBatch(t *testing.T) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "out")
	status, _, errOut := call(t, "batch", simulatedTrial(t, 3, 3, 30), "--out", out)
	require.Equal(t, exitDone, status, errOut)
	return out
}

func otherReader(t *testing.T, node string) {
	out := someBatch(t)
	for _, s := range trial.Sheets() {
		var got struct {
			Columns  []string
			Metadata map[string]string
			Rows     []map[string]any
		}
		require.NoError(t, json.Unmarshal(npm(t, node, "node", "read-parquet.mjs", filepath.Join(out, s.Name+".parquet")), &got))
		f, err := os.Open(filepath.Join(out, s.Name+".csv"))
		require.NoError(t, err)
		want, err := csv.NewReader(f).ReadAll()
		require.NoError(t, err)
		require.NoError(t, f.Close())
		require.Equal(t, want[0], got.Columns)
		require.Len(t, got.Rows, len(want)-1)
		for _, c := range s.Columns {
			require.Equal(t, c.Unit, got.Metadata["unit:"+c.Name], c.Name)
		}
		for i, row := range want[1:] {
			for j, cell := range row {
				require.Equal(t, typed(t, s.Columns[j].Type, cell), got.Rows[i][want[0][j]], "%s, row %d, %s", s.Name, i, want[0][j])
			}
		}
	}
}

// typed is what JavaScript should have for a cell.
func typed(t *testing.T, kind trial.Type, cell string) any {
	t.Helper()
	switch {
	case cell == "":
		return nil
	case kind == trial.Boolean:
		return cell == "true"
	case kind == trial.Text:
		return table.Unguard(cell)
	}
	v, err := strconv.ParseFloat(cell, 64)
	require.NoError(t, err)
	return v
}

func publishedProfile(t *testing.T, node string) {
	npm(t, node, "npm", "pack", "--silent", profilePackage)
	npm(t, node, "tar", "xzf", "datapackage-1.1.10.tgz", "package/src/profiles")
	schema, err := jsonschema.NewCompiler().Compile(filepath.Join(node, "package", "src", "profiles", "data-package.json"))
	require.NoError(t, err)
	text, err := os.ReadFile(filepath.Join(someBatch(t), trial.PackageName))
	require.NoError(t, err)
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	require.NoError(t, err)
	require.NoError(t, schema.Validate(v))
	bad, err := jsonschema.UnmarshalJSON(bytes.NewReader(bytes.Replace(text, []byte(`"resources"`), []byte(`"files"`), 1)))
	require.NoError(t, err)
	require.Error(t, schema.Validate(bad))
}

func bidsValidator(t *testing.T, node string) {
	shared := filepath.Join("..", "..", "..", "shared", "data", "motion-bids-walk")
	if _, err := os.Stat(shared); err != nil {
		require.NotEqual(t, "required", os.Getenv("SETDOWN_DATA"), "open data are missing: %v", err)
		t.Skip("open data are not at ../shared/data")
	}
	dir := filepath.Join(t.TempDir(), "walk")
	require.NoError(t, os.CopyFS(dir, os.DirFS(shared)))
	npm(t, node, "node_modules/.bin/bids-validator", dir)

	out := filepath.Join(t.TempDir(), "out")
	status, _, errOut := call(t, "batch", dir, "--out", out)
	require.Equal(t, exitDone, status, errOut)
	derivatives := filepath.Join(out, "derivatives", "setdown")
	report := npm(t, node, "node_modules/.bin/bids-validator", "--json", derivatives)
	var found struct {
		Issues struct {
			Errors []struct{ Key, Reason string }
		}
		Summary struct{ Subjects []string }
	}
	require.NoError(t, json.Unmarshal(report, &found), string(report))
	require.Empty(t, found.Issues.Errors)
	require.Equal(t, []string{"FZ"}, found.Summary.Subjects)
	// And in the place where a data set keeps its derivatives.
	require.NoError(t, os.CopyFS(filepath.Join(dir, "derivatives", "setdown"), os.DirFS(derivatives)))
	npm(t, node, "node_modules/.bin/bids-validator", dir)
	files := filesOf(t, derivatives)
	require.True(t, slices.ContainsFunc(keys(files), func(name string) bool {
		return filepath.Ext(name) == ".tsv" && filepath.Base(name) != "participants.tsv"
	}))
}

func keys(m map[string]string) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	return out
}
