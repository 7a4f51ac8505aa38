package recording_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

func TestInspectionShowsWhatWasMadeOfAFile(t *testing.T) {
	s := dialects.Swinging(100, 20, 0)
	d := dialects.Dialect{Delim: ";", Decimal: ",", TimeHead: []string{"Zeit [s]"}, AccHead: func(a string) string { return "acc " + a + " [g]" }, AccUnit: gUnit,
		GyrUnit: degUnit, Extra: "temperature", EOL: "\r\n"}
	in, err := recording.Inspect(t.Context(), d.Sources(s, dialects.Swinging(100, 20, 0.4)), recording.Options{})
	require.NoError(t, err)
	require.Len(t, in.Files, 2)
	f := in.Files[0]
	require.Equal(t, []string{"semicolon", "comma", "CRLF", "UTF-8", ""}, []string{f.Delimiter, f.Decimal, f.LineEnd, f.Encoding, f.Packing})
	require.Len(t, f.Input.SHA256, 64)
	require.Equal(t, recording.ColumnView{Name: "acc x [g]", Used: true, Role: "acc_x", Unit: "g", UnitFrom: "header"}, f.Columns[2])
	require.Equal(t, recording.ColumnView{Name: "gyr_x", Used: true, Role: "gyr_x", Unit: "deg/s", UnitFrom: "inferred"}, f.Columns[5])
	require.Equal(t, recording.ColumnView{Name: "temperature"}, f.Columns[1])
	require.Len(t, f.Tracks, 1)
	v := f.Tracks[0]
	require.NoError(t, v.Err)
	require.Equal(t, 2000, v.Summary.Samples)
	require.InDelta(t, 100, v.MeasuredRate, 1e-3)
	require.Len(t, v.Seconds, 20)
	require.Equal(t, []recording.Stretch{{Begin: 0, End: 2}, {Begin: 2, End: 20, Moving: true}}, v.Stretches)
	require.Equal(t, []recording.Use{
		{What: "step rate", Possible: true, NeedsRate: 15}, {What: "contact times", Possible: true, NeedsRate: 80},
		{What: "lowering", Possible: true, NeedsRate: 100, Because: "in walking; running needs 200 Hz"},
		{What: "contact peaks", NeedsRate: 200, Because: "sampled at 100 Hz; needs 200 Hz"},
	}, v.Uses)
	require.Equal(t, []recording.Advice{{Rule: "Rate", Text: "sampled at 100 Hz; choose 200 Hz or more"}, {Rule: "Enough steps", Text: "it moves for 18 s; 25 steps a side need about 30 s or more"}}, v.Advice)
}

func TestSavedMappingReadsTheSameSamples(t *testing.T) {
	left, right := dialects.Swinging(200, 14, 0), dialects.Swinging(200, 14, 0.5)
	for i, d := range dialects.Table() {
		if testing.Short() && i%9 > 0 {
			continue
		}
		in, err := recording.Inspect(t.Context(), d.Sources(left, right)[:1], recording.Options{})
		require.NoError(t, err, d.Name)
		m := in.Files[0].Mapping
		if m == nil {
			require.True(t, d.Unmapped || slices.Contains([]dialects.Shape{dialects.LongSide, dialects.LongSensor, dialects.LongChannel, dialects.LongAxis, dialects.SideBySide}, d.Shape), d.Name)
			continue
		}
		var b strings.Builder
		_, err = m.WriteTo(&b)
		require.NoError(t, err)
		again, err := recording.ParseMapping("m.txt", strings.NewReader(b.String()))
		require.NoError(t, err, b.String())
		set, err := recording.Open(t.Context(), d.Sources(left, right)[:1], recording.Options{Mapping: again})
		require.NoError(t, err, "%s:\n%s", d.Name, b.String())
		require.Equal(t, in.Set.Tracks[0].Rate, set.Tracks[0].Rate, d.Name)
		a, err := samplesOf(in.Set.Tracks[0])
		require.NoError(t, err)
		c, err := samplesOf(set.Tracks[0])
		require.NoError(t, err)
		require.Equal(t, len(a), len(c), d.Name)
		require.Equal(t, a[1000], c[1000], d.Name)
	}
}
