package table_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/step"
	"setdown/report/table"
	"setdown/signal/recording"
)

func written(t *testing.T, steps []step.Step) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, table.WriteSteps(&b, steps))
	return b.String()
}

func TestStepsHaveTheColumnsOfTheContract(t *testing.T) {
	head, _, _ := strings.Cut(written(t, nil), "\n")
	require.Equal(t, "side,step,gait,initial_contact_s,foot_flat_s,toe_off_s,stride_time_s,contact_time_s,"+
		"heel_first,strike_angle_deg,strike,time_to_foot_flat_ms,peak_lowering_rate_deg_s,foot_flat_rate_deg_s,"+
		"deceleration_fraction,heel_contact_peak_m_s2,foot_flat_peak_m_s2,used,reason", head)
}

func TestEveryMetricHasAColumn(t *testing.T) {
	for _, m := range step.Catalogue() {
		require.Contains(t, table.Columns(), m.Key)
	}
}

func TestStepsAreWrittenInTheUnitsOfTheirColumns(t *testing.T) {
	lines := strings.Split(written(t, result().Steps), "\n")
	require.Equal(t, "left,1,running,1.23456,1.27456,1.48456,0.70000,0.25000,true,12.346,rearfoot,"+
		"40.00,412.34,150.00,0.6362,31.250,12.500,true,", lines[1])
}

func TestWhatWasNotMeasuredIsAnEmptyCell(t *testing.T) {
	rows, err := csv.NewReader(strings.NewReader(written(t, result().Steps))).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"left", "2", "running", "1.93000", "", "", "", "", "false", "-1.500", "midfoot",
		"", "", "", "", "", "", "false", `gap at 3.2 s, "short" stride`}, rows[3])
}

func TestStepsReadBack(t *testing.T) {
	text := written(t, result().Steps)
	steps, err := table.ReadSteps(strings.NewReader(text), "steps.csv")
	require.NoError(t, err)
	require.Len(t, steps, 3)
	require.Equal(t, text, written(t, steps))
	require.InDelta(t, 412.34*deg, steps[0].PeakLoweringRate, 0.005*deg)
	require.Equal(t, recording.Right, steps[1].Side)
}

// Every metric must survive the way through the file, so that a metric that is
// added to the catalogue without a reader is noticed.
func TestEveryMetricReadsBack(t *testing.T) {
	steps, err := table.ReadSteps(strings.NewReader(written(t, result().Steps)), "steps.csv")
	require.NoError(t, err)
	for _, m := range step.Catalogue() {
		want := m.Value(&result().Steps[0])
		require.InEpsilon(t, want, m.Value(&steps[0]), 1e-3, m.Key)
	}
}

func TestColumnsMayComeInAnyOrderAndMoreThanThese(t *testing.T) {
	rows, err := csv.NewReader(strings.NewReader(written(t, result().Steps))).ReadAll()
	require.NoError(t, err)
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	for i, row := range rows {
		extra := "x"
		if i == 0 {
			extra = "later_column"
		}
		back := []string{extra}
		for j := len(row) - 1; j >= 0; j-- {
			back = append(back, row[j])
		}
		require.NoError(t, w.Write(back))
	}
	w.Flush()
	steps, err := table.ReadSteps(&b, "steps.csv")
	require.NoError(t, err)
	require.Equal(t, written(t, result().Steps), written(t, steps))
}

func TestStepsThatCannotBeReadAreRefusedWithTheirPlace(t *testing.T) {
	good := written(t, result().Steps)
	for _, c := range []struct{ name, text, want string }{
		{"empty file", "", "s.csv:1: empty"},
		{"missing column", strings.Replace(good, "strike_angle_deg", "angle", 1), `s.csv:1: no column "strike_angle_deg"`},
		{"column twice", strings.Replace(good, "toe_off_s", "toe_off_s,toe_off_s", 1), `s.csv:1: column "toe_off_s" is there twice`},
		{"letters in a number", strings.Replace(good, "412.34", "4l2", 1), `s.csv:2: column "peak_lowering_rate_deg_s": "4l2"`},
		{"not a number by name", strings.Replace(good, "412.34", "NaN", 1), `column "peak_lowering_rate_deg_s": "NaN"`},
		{"decimal comma", strings.Replace(good, "412.34", `"412,34"`, 1), `"412,34" cannot be read`},
		{"unknown side", strings.Replace(good, "\nright", "\nrihgt", 1), `s.csv:3: column "side": "rihgt"`},
		{"step zero", strings.Replace(good, "left,1,", "left,0,", 1), `column "step": "0"`},
		{"used left empty", strings.Replace(good, ",true,\n", ",,\n", 1), `column "used": ""`},
		{"short row", good + "left,1\n", "s.csv:5: wrong number of fields"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := table.ReadSteps(strings.NewReader(c.text), "s.csv")
			require.ErrorContains(t, err, c.want)
		})
	}
}

func TestTextThatASpreadsheetWouldRunIsGuarded(t *testing.T) {
	for _, text := range []string{"=1+1", "+1", "-1", "@SUM(A1)", "\tx", "'=1", "''@x"} {
		s := lowered(recording.Left, 1, 1)
		s.Reason = text
		line := written(t, []step.Step{s})
		rows, err := csv.NewReader(strings.NewReader(line)).ReadAll()
		require.NoError(t, err)
		require.Equal(t, "'"+text, rows[1][len(rows[1])-1])
		back, err := table.ReadSteps(strings.NewReader(line), "s.csv")
		require.NoError(t, err)
		require.Equal(t, text, back[0].Reason)
	}
	require.Equal(t, "it's", table.Guard("it's"))
	require.Equal(t, "'quoted'", table.Guard("'quoted'"))
}

func TestValuesThatRoundToZeroHaveNoSign(t *testing.T) {
	s := lowered(recording.Left, 1, -1e-9)
	s.StrikeAngle = -1e-9
	text := written(t, []step.Step{s})
	require.Contains(t, text, "left,1,running,0.00000,")
	require.NotContains(t, text, "-0.000")
}

func TestARowCostsNoAllocation(t *testing.T) {
	w := table.NewStepWriter(io.Discard)
	s := flat(recording.Left, 1, 1234.5)
	w.Write(&s)
	require.Zero(t, testing.AllocsPerRun(100, func() { w.Write(&s) }))
}

func TestManyStepsAreWrittenAsOneByOne(t *testing.T) {
	for _, n := range []int{1023, 1024, 5000} {
		steps := make([]step.Step, n)
		for i := range steps {
			steps[i] = lowered(recording.Left, i+1, float64(i))
		}
		var b bytes.Buffer
		w := table.NewStepWriter(&b)
		for i := range steps {
			w.Write(&steps[i])
		}
		require.NoError(t, w.Flush())
		require.True(t, b.String() == written(t, steps), "%d steps", n)
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestWriteErrorsAreReported(t *testing.T) {
	require.ErrorContains(t, table.WriteSteps(full{}, result().Steps), "disk full")
}

func FuzzReadSteps(f *testing.F) {
	var b bytes.Buffer
	if err := table.WriteSteps(&b, result().Steps); err != nil {
		f.Fatal(err)
	}
	f.Add(b.String())
	f.Add(strings.ReplaceAll(b.String(), ",", ";"))
	f.Fuzz(func(t *testing.T, text string) {
		steps, err := table.ReadSteps(strings.NewReader(text), "s.csv")
		if err != nil {
			return
		}
		again, err := table.ReadSteps(strings.NewReader(written(t, steps)), "s.csv")
		require.NoError(t, err)
		require.Equal(t, written(t, steps), written(t, again))
	})
}

func BenchmarkWriteSteps(b *testing.B) {
	w := table.NewStepWriter(io.Discard)
	s := lowered(recording.Left, 1, 1234.5)
	b.ReportAllocs()
	for b.Loop() {
		w.Write(&s)
	}
}
