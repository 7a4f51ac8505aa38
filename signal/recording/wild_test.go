package recording_test

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

// A number that no sensor measures is read as an empty cell is: what a file with the
// cell emptied gives is the reference.
func TestANumberThatNoSensorMeasuresIsReadAsMissing(t *testing.T) {
	l := longer(t, 100, 200)
	for _, c := range []struct {
		cell int
		what string
	}{
		{1, "1e308"}, {2, "-1.7e308"}, {3, "99999"}, {2, "9900"}, {4, "-1e300"}, {5, "180"}, {6, "-99999.5"},
	} {
		for _, line := range []int{2, 3, 700, 18000, len(l) - 1} {
			t.Run(fmt.Sprintf("%s in line %d", c.what, line), func(t *testing.T) {
				want, _ := readLines(t, put(l, line, c.cell, ""), recording.Options{})
				got, _ := readLines(t, put(l, line, c.cell, c.what), recording.Options{})
				sameSamples(t, want, got)
				require.Len(t, with(got.remarks, fmt.Sprintf("left_foot.csv:%d (at ", line)), 1, "%v", got.remarks)
				require.Len(t, with(got.remarks, "which no sensor measures, taken as missing: 1;"), 1)
			})
		}
	}
}

// A number that some sensor may reach, however far from its neighbours, is a sample.
func TestTheLargestNumbersThatSensorsMeasureStay(t *testing.T) {
	got, _ := readLines(t, put(put(lines(t), 700, 1, "9800"), 800, 4, "-174"), recording.Options{})
	require.Empty(t, with(got.remarks, "no sensor measures"))
	require.Contains(t, got.acc[0], 9800.0)
	require.Contains(t, got.gyr[0], -174.0)
}

// Between rows that share a stamp a line over time has no length: the samples are then
// evenly spaced, and so is what is filled.
func TestWhatIsMissingAmongSharedStampsIsFilledEvenly(t *testing.T) {
	share := lines(t)
	for i := 1; i < len(share); i++ {
		first, _, _ := strings.Cut(share[1+(i-1)/10*10], ",")
		_, v, _ := strings.Cut(share[i], ",")
		share[i] = first + "," + v
	}
	value := func(line int) float64 {
		v, err := strconv.ParseFloat(strings.Split(share[line-1], ",")[1], 64)
		require.NoError(t, err)
		return v
	}
	// Of ten lines with one stamp, 702 to 711, two in the middle; and two of which one
	// belongs to the next ten.
	for _, from := range []int{704, 711} {
		got, _ := readLines(t, put(put(share, from, 1, ""), from+1, 1, ""), recording.Options{})
		a, b := value(from-1), value(from+2)
		for i := range 2 {
			require.InDelta(t, a+(b-a)*float64(i+1)/3, got.acc[0][from-2+i], 1e-9, "line %d", from+i)
			require.Equal(t, recording.VoidAcc, got.void[from-2+i]&recording.VoidAcc)
		}
		for _, x := range got.acc[0] {
			require.False(t, math.IsNaN(x))
		}
	}
}
