package trial_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"setdown/gait/step"
	"setdown/report/table"
	"setdown/report/trial"
)

var update = flag.Bool("update", false, "rewrite testdata/trial/columns.txt")

// fixtures is where this package's test data stand.
const fixtures = "../../testdata/trial"

// rows reads a table of an output folder by column.
func rows(t *testing.T, out, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(out, name+".csv"))
	require.NoError(t, err)
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var list []map[string]string
	for _, row := range all[1:] {
		m := map[string]string{}
		for i, cell := range row {
			m[all[0][i]] = cell
		}
		list = append(list, m)
	}
	return list
}

// The names, types and units of all columns are a promise within a major
// version: a change of this list is a new major version, an addition is not.
func TestColumnsAreAPromise(t *testing.T) {
	var b strings.Builder
	for _, s := range trial.Sheets() {
		for _, c := range s.Columns {
			b.WriteString(strings.Join([]string{s.Name, c.Name, string(c.Type), c.Unit}, "\t") + "\n")
			require.NotEmpty(t, c.Title, c.Name)
			require.NotEmpty(t, c.Description, c.Name)
		}
	}
	name := filepath.Join(fixtures, "columns.txt")
	if *update {
		require.NoError(t, os.WriteFile(name, []byte(b.String()), 0o666))
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err)
	require.Equal(t, string(want), b.String(), "go test ./report/trial -run Promise -update, if the change is meant")
}

func TestEveryMetricIsAColumnWithItsUnit(t *testing.T) {
	for _, s := range trial.Sheets() {
		if s.Name != trial.StepsSheet && s.Name != trial.SidesSheet {
			continue
		}
		byName := map[string]trial.Column{}
		for _, c := range s.Columns {
			byName[c.Name] = c
		}
		for _, m := range step.Catalogue() {
			c, ok := byName[m.Key]
			require.True(t, ok, m.Key)
			require.Equal(t, table.ColumnUnit(m).Symbol, c.Unit, m.Key)
		}
	}
}

func TestTablesRepeatWhatTheSessionsSay(t *testing.T) {
	out := twoPairs(t)
	f, err := os.Open(filepath.Join(out, "recordings", "sub-p1", "session.json"))
	require.NoError(t, err)
	defer f.Close()
	d, err := table.ReadSession(f, "session.json")
	require.NoError(t, err)
	left, _ := d.Sides.Left.Get(step.Primary)
	side := rows(t, out, "sides")[0]
	require.Equal(t, "sub-p1 left", side["recording"]+" "+side["side"])
	require.Equal(t, strconv.FormatFloat(float64(left.Center), 'f', -1, 64), side[step.Primary])
	require.Equal(t, strconv.Itoa(left.N), side[step.Primary+"_n"])
	require.Equal(t, strconv.Itoa(d.Steps.Left.Used), side["steps_used"])
	difference, _ := d.Difference.Get(step.Primary)
	for _, r := range rows(t, out, "asymmetry") {
		if r["recording"] == "sub-p1" && r["measure"] == step.Primary {
			require.Equal(t, "deg/s", r["unit"])
			require.Equal(t, strconv.FormatFloat(float64(difference.Center), 'f', -1, 64), r["difference"])
		}
	}
	steps, err := os.ReadFile(filepath.Join(out, "recordings", "sub-p1", "steps.csv"))
	require.NoError(t, err)
	mine := 0
	for _, r := range rows(t, out, "steps") {
		if r["recording"] == "sub-p1" {
			mine++
		}
	}
	require.Equal(t, bytes.Count(steps, []byte("\n"))-1, mine)
}

func TestParquetHasTheValuesAndUnitsOfTheCSV(t *testing.T) {
	out := twoPairs(t)
	for _, s := range trial.Sheets() {
		f, err := os.Open(filepath.Join(out, s.Name+".parquet"))
		require.NoError(t, err)
		info, err := f.Stat()
		require.NoError(t, err)
		p, err := parquet.OpenFile(f, info.Size())
		require.NoError(t, err)
		want := rows(t, out, s.Name)
		require.EqualValues(t, len(want), p.NumRows(), s.Name)
		for i, c := range s.Columns {
			require.Equal(t, c.Name, p.Schema().Columns()[i][0], s.Name)
			unit, _ := p.Lookup("unit:" + c.Name)
			require.Equal(t, c.Unit, unit, c.Name)
		}
		r := parquet.NewReader(p)
		got := make([]parquet.Row, len(want))
		n, _ := r.ReadRows(got)
		require.Equal(t, len(want), n)
		for i := range want {
			sameRow(t, s, want[i], got[i])
		}
		require.NoError(t, f.Close())
	}
}

// sameRow compares a row of the CSV with one of the Parquet file.
func sameRow(t *testing.T, s trial.Sheet, want map[string]string, got parquet.Row) {
	t.Helper()
	for i, c := range s.Columns {
		cell, v := want[c.Name], got[i]
		if cell == "" && !c.Required {
			require.True(t, v.IsNull(), c.Name)
			continue
		}
		switch c.Type {
		case trial.Decimal:
			f, err := strconv.ParseFloat(cell, 64)
			require.NoError(t, err, c.Name)
			require.Equal(t, f, v.Double(), c.Name)
		case trial.Integer:
			require.Equal(t, cell, strconv.FormatInt(v.Int64(), 10), c.Name)
		case trial.Boolean:
			require.Equal(t, cell, strconv.FormatBool(v.Boolean()), c.Name)
		default:
			require.Equal(t, table.Unguard(cell), string(v.ByteArray()), c.Name)
		}
	}
}

func TestNamesFromFilesAreNoFormulas(t *testing.T) {
	dir := pairs(t, 1)
	put(t, dir, "manifest.csv", []byte("subject,session,side,file\n=1+1,\"a,\"\"b\"\"\",left,p1_left.csv\n=1+1,\"a,\"\"b\"\"\",right,p1_right.csv\n"))
	out, _ := batch(t, dir, trial.Options{})
	for _, s := range trial.Sheets() {
		for _, r := range rows(t, out, s.Name) {
			require.Equal(t, "'=1+1", r["subject"])
			require.Equal(t, `a,"b"`, r["session"])
		}
	}
}

// packageSchema holds what Data Package 2.0, Data Resource 2.0, Table Dialect
// 2.0 and Table Schema 2.0 ask for (../shared/check-values.md, section 6):
// written for this test, since the published profiles are on no registry that
// tests may ask. The published profile of version 1 is checked in TestNPM.
func TestDataPackageKeepsToTheStandard(t *testing.T) {
	out := twoPairs(t)
	schema, err := jsonschema.NewCompiler().Compile(filepath.Join(fixtures, "datapackage-2.0-required.schema.json"))
	require.NoError(t, err)
	text, err := os.ReadFile(filepath.Join(out, trial.PackageName))
	require.NoError(t, err)
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	require.NoError(t, err)
	require.NoError(t, schema.Validate(v))
	for _, break_ := range []struct{ old, new string }{
		{`"resources"`, `"files"`}, {`"type": "integer"`, `"type": "whole"`}, {`"path": "steps.csv"`, `"path": "../steps.csv"`}, {`"fields"`, `"columns"`},
	} {
		bad, err := jsonschema.UnmarshalJSON(strings.NewReader(strings.ReplaceAll(string(text), break_.old, break_.new)))
		require.NoError(t, err)
		require.Error(t, schema.Validate(bad), break_.old)
	}
	checkCells(t, out, text)
}

// checkCells checks every cell against the type and constraints that the
// package states.
func checkCells(t *testing.T, out string, text []byte) {
	var p struct {
		Resources []struct {
			Name, Path, Format string
			Schema             struct {
				PrimaryKey []string
				Fields     []struct {
					Name, Type  string
					Constraints struct {
						Required bool
						Enum     []string
					}
				}
			}
		}
	}
	require.NoError(t, json.Unmarshal(text, &p))
	for _, r := range p.Resources {
		if r.Format != "csv" {
			continue
		}
		keys := map[string]bool{}
		for _, row := range rows(t, out, r.Name) {
			require.Len(t, row, len(r.Schema.Fields))
			key := ""
			for _, k := range r.Schema.PrimaryKey {
				key += row[k] + "\x00"
			}
			require.False(t, key != "" && keys[key], "%s: key %q twice", r.Name, key)
			keys[key] = true
			for _, f := range r.Schema.Fields {
				cell := row[f.Name]
				if cell == "" {
					require.False(t, f.Constraints.Required, "%s.%s", r.Name, f.Name)
					continue
				}
				switch f.Type {
				case "number":
					_, err := strconv.ParseFloat(cell, 64)
					require.NoError(t, err)
				case "integer":
					_, err := strconv.Atoi(cell)
					require.NoError(t, err)
				case "boolean":
					require.Contains(t, []string{"true", "false"}, cell)
				}
				if f.Constraints.Enum != nil {
					require.Contains(t, f.Constraints.Enum, cell, "%s.%s", r.Name, f.Name)
				}
			}
		}
	}
}
