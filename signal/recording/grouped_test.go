package recording_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
	"setdown/signal/remark"
)

// Groups of three between narrow spaces: BIPM, SI Brochure, 9th ed. (2019), 5.4.4;
// apostrophes are usual in Switzerland; U+2212 is the minus sign of the Unicode
// locale data (CLDR) of Swedish, Norwegian, Finnish and others.
func TestNumbersWrittenForPeople(t *testing.T) {
	for text, want := range map[string]float64{
		"\u22120.181": -0.181, "\u2212.5": -0.5, "9,930.5": 9930.5, "-1,234,567.25": -1234567.25, "9'930.5": 9930.5, "1’234’567": 1234567, "9\u202f930.5": 9930.5, "9\u00a0930": 9930,
	} {
		v, ok := recording.ParseNumber([]byte(text), '.')
		require.True(t, ok, text)
		require.Equal(t, want, v, text)
	}
	v, ok := recording.ParseNumber([]byte("-9.930,5"), ',')
	require.True(t, ok)
	require.Equal(t, -9930.5, v)
	for _, text := range []string{
		"9,930", "1,234,567", "12,5", "1,23.5", "1234,567.5", "1,2345.5", "1,234\u00a0567.5", ",123.5", "1.5,3", "--1", "\u2212", "1'23", "1''234", "0x1p-2", "1 234.5", "12-3", "1'234'", "", "1.2.3",
	} {
		_, ok := recording.ParseNumber([]byte(text), '.')
		require.False(t, ok, text)
	}
}

// Where thousands are grouped and every number is whole, a comma may be either: the
// file is refused rather than read a thousand times too small.
func TestTablesWithGroupedThousands(t *testing.T) {
	s := dialects.Swinging(200, 20, 0)
	table := func(number func(mg float64) string) []recording.Source {
		var b strings.Builder
		b.WriteString("time_ms;ax_mg;ay_mg;az_mg;gx_mdps;gy_mdps;gz_mdps\n")
		for i := range s.Len() {
			cells := []string{fmt.Sprint(5 * i)}
			for k := range 6 {
				v := s.Gyr[k%3][i] * 57295.78
				if k < 3 {
					v = s.Acc[k][i] * 101.97162
				}
				cells = append(cells, number(v))
			}
			b.WriteString(strings.Join(cells, ";") + "\n")
		}
		return []recording.Source{recording.Bytes("left_foot.csv", []byte(b.String()), recording.SideUnknown)}
	}
	group := func(v float64, mark, dec string, places int) string {
		text := fmt.Sprintf("%.*f", places, v)
		whole, rest, _ := strings.Cut(text, ".")
		for i := len(whole) - 3; i > 0 && whole[i-1] != '-'; i -= 3 {
			whole = whole[:i] + mark + whole[i:]
		}
		if places > 0 {
			whole += dec + rest
		}
		return whole
	}
	for _, c := range [][2]string{{",", "."}, {".", ","}, {"'", "."}, {"\u00a0", ","}, {"\u202f", "."}} {
		set, err := recording.Open(t.Context(), table(func(v float64) string { return group(v, c[0], c[1], 1) }), recording.Options{})
		require.NoError(t, err, "%q", c)
		acc, gyr := columnsOf(t, set.Tracks[0])
		require.InDelta(t, s.Acc[2][900], acc[900], 0.002, "%q", c)
		require.InDelta(t, s.Gyr[1][900], gyr[900], 1e-5, "%q", c)
	}
	for _, mark := range []string{",", "."} {
		_, err := recording.Open(t.Context(), table(func(v float64) string { return group(v, mark, "", 0) }), recording.Options{})
		require.Error(t, err, "%q", mark)
	}
}

// What spreadsheets and number formatters leave in a cell without a value.
func TestWordsForAMissingValue(t *testing.T) {
	l := lines(t)
	for _, word := range []string{"#DIV/0!", "#NV", "#WERT!", "#NAME?", "#N/D", "-nan(ind)", "?", ".", "*"} {
		rs, _, _, err := readAll(t, strings.Join(put(l, 700, 4, word), "\n")+"\n", recording.Options{})
		require.NoError(t, err, word)
		require.Equal(t, "left_foot.csv:700 (at 3.490 s): rows with cells that are empty, NaN or infinite: 1; the measures that need them are left out", rs["cell-missing"].String(), word)
	}
}

// columnsOf reads the third axis of the accelerometer and the second of the
// gyroscope.
func columnsOf(t *testing.T, k *recording.Track) (acc, gyr []float64) {
	_, err := k.Read(&remark.List{}, func(b *recording.Block) error {
		acc, gyr = append(acc, b.Acc[2]...), append(gyr, b.Gyr[1]...)
		return nil
	})
	require.NoError(t, err)
	return acc, gyr
}
