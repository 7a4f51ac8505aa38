package recording

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// twoFiles writes the accelerometer and the gyroscope of a plain recording in files of
// their own, whose stamps are since from; the gyroscope's are late by so many s.
func twoFiles(rows []string, late float64) []Source {
	var acc, gyr strings.Builder
	acc.WriteString("elapsed_s,acc_x,acc_y,acc_z\n")
	gyr.WriteString("elapsed_s,gyr_x,gyr_y,gyr_z\n")
	first := 0.0
	for i, r := range rows {
		c := strings.Split(r, ",")
		t, err := strconv.ParseFloat(c[0], 64)
		if err != nil || len(c) < 7 {
			continue
		}
		if i == 1 {
			first = t
		}
		fmt.Fprintf(&acc, "%.5f,%s\n", t-first, strings.Join(c[1:4], ","))
		fmt.Fprintf(&gyr, "%.5f,%s\n", t-first+late, strings.Join(c[4:7], ","))
	}
	return []Source{Bytes("left_foot_acc.csv", []byte(acc.String()), Left), Bytes("left_foot_gyr.csv", []byte(gyr.String()), Left)}
}

// Accelerometer and gyroscope in files of their own, by clocks that begin each when its
// sensor did, are refused where what jolts both stands apart; the same by one clock is
// not, on open recordings of feet and shins, walking and running.
func TestClocksOfOneSensorThatStandApartAreRefused(t *testing.T) {
	var files []string
	for _, pattern := range []string{"corridor-walk-feet-back/*/*_foot.csv", "treadmill-walk-feet-shins/*/*_foot.csv", "treadmill-walk-feet-shins/*/*_shank.csv", "run-one-foot/*/foot.csv"} {
		found, err := filepath.Glob(filepath.Join(openData(t), pattern))
		require.NoError(t, err)
		require.NotEmpty(t, found, pattern)
		files = append(files, found...)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		rows := strings.Split(strings.TrimSpace(string(data)), "\n")
		_, err = Open(t.Context(), twoFiles(rows, 0), Options{})
		require.NoError(t, err, file)
		for _, late := range []float64{0.3, -1.7, 4} {
			_, err := Open(t.Context(), twoFiles(rows, late), Options{})
			var e *Error
			require.ErrorAs(t, err, &e, "%s %v", file, late)
			require.Contains(t, e.Msg, "what jolts both stands apart", "%s %v", file, late)
			var about float64
			_, err = fmt.Sscanf(e.Msg, "its clock runs about %f s", &about)
			require.NoError(t, err)
			require.InDelta(t, max(late, -late), about, 0.03, "%s %v: %s", file, late, e.Msg)
			require.Contains(t, e.Hint, map[bool]string{true: "take off", false: "add"}[late > 0])
		}
	}
}
