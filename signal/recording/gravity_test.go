package recording_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

// parted writes a sensor at rest whose acceleration stands in two parts.
func parted(heads string) string {
	var b strings.Builder
	b.WriteString(heads)
	for i := range 800 {
		fmt.Fprintf(&b, "%.3f,%.3f,0.001,-0.002,0.1,0.2,%.3f,0.01,0.02,0.03\n", float64(i)/200, 0.001*float64(i%3), 0.974)
	}
	return b.String()
}

// Where gravity stands in columns of its own beside an acceleration without it, the
// error says what to add to what.
func TestGravityBesideAnAccelerationWithoutItIsNamed(t *testing.T) {
	for heads, hint := range map[string]string{
		"time_s,userAcceleration.x (G),userAcceleration.y (G),userAcceleration.z (G),gravity.x (G),gravity.y (G),gravity.z (G),gyroX,gyroY,gyroZ\n": `gravity was taken out of it: export raw acceleration, or add column "gravity.x (G)" and its like to it, axis by axis in one unit, and give the table with the sums`,
		"time_s,accX,accY,accZ,gravX,gravY,gravZ,gyroX,gyroY,gyroZ\n":                                                                               `gravity was taken out of it: export raw acceleration, or add column "gravX" and its like to it, axis by axis in one unit, and give the table with the sums`,
		"time_s,accX,accY,accZ,magX,magY,magZ,gyroX,gyroY,gyroZ\n":                                                                                  "for raw counts give the scale with --columns; setdown inspect left_foot.csv --save writes a file to edit",
	} {
		_, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(parted(heads)), recording.Left)}, recording.Options{})
		var e *recording.Error
		require.ErrorAs(t, err, &e, heads)
		require.Regexp(t, "the acceleration reads nearly 0|reads 0.00.* when stillest", e.Msg)
		require.Equal(t, hint, e.Hint)
	}
}

// A foot that moves from first to last row shows no rest; without gravity its
// acceleration is small where it turns least, and with gravity it is not.
func TestAMovingFootWithoutGravityIsRefused(t *testing.T) {
	// The same folder as openData names, which tests outside the package do not see.
	files, err := filepath.Glob(filepath.Join("..", "..", "..", "shared", "data", "treadmill-walk-feet-shins", "*", "*_foot.csv"))
	require.NoError(t, err)
	if len(files) == 0 && os.Getenv("SETDOWN_DATA") != "required" {
		t.Skip("the open recordings are missing")
	}
	read := 0
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		rows := strings.Split(strings.TrimSpace(string(data)), "\n")
		open := func(without bool) error {
			text := []string{rows[0]}
			down := [3]float64{}
			for i, r := range rows[1:] {
				var v [7]float64
				for c, cell := range strings.Split(r, ",") {
					v[c], err = strconv.ParseFloat(cell, 64)
					require.NoError(t, err)
				}
				// The turned gravity, as a fusion filter keeps it: about what the
				// acceleration is, smoothed over 0.3 s.
				for c := range down {
					if down[c] += (v[1+c] - down[c]) / 40; i == 0 {
						down[c] = v[1+c]
					}
				}
				if size := math.Sqrt(down[0]*down[0] + down[1]*down[1] + down[2]*down[2]); without {
					for c := range down {
						v[1+c] -= 9.80665 * down[c] / size
					}
				}
				text = append(text, fmt.Sprintf("%.5f,%.5f,%.5f,%.5f,%.5f,%.5f,%.5f", v[0], v[1], v[2], v[3], v[4], v[5], v[6]))
			}
			_, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left.csv", []byte(strings.Join(text, "\n")+"\n"), recording.Left)}, recording.Options{})
			return err
		}
		require.NoError(t, open(false), file)
		err = open(true)
		require.Error(t, err, file)
		require.Regexp(t, "where the sensor turns least, where gravity alone is 1 g|nearly 0|when stillest", err.Error())
		read++
	}
	require.Equal(t, 4, read)
}

// running is rows of a foot that runs from the first to the last of them, its
// acceleration in another unit than m/s² by a scale.
func running(scale float64) []string {
	rows := make([]string, 6000)
	for i := range rows {
		at := float64(i) / 200
		acc, turn := 9.80665+0.5*math.Sin(90*at), 0.05*math.Sin(70*at) // stance
		if math.Mod(at, 0.7) > 0.12 {                                  // swing: about 3 g while it turns
			acc, turn = 29.4+6*math.Sin(12*at), 8+math.Sin(20*at)
		}
		rows[i] = fmt.Sprintf("%.3f,%.5f,%.5f,%.5f,%.4f,%.4f,%.4f", at, (0.2+0.5*math.Sin(31*at))*scale, (0.1+0.4*math.Sin(27*at))*scale, acc*scale, 0.03*math.Sin(61*at), turn, 0.02*math.Sin(53*at))
	}
	return rows
}

// A foot that runs from first to last row has steady windows in swing only, at several
// g: its unit is told by what it reads where it turns least.
func TestTheUnitOfAMovingFootIsToldWhereItTurnsLeast(t *testing.T) {
	for _, scale := range []float64{1, 1 / 9.80665, 1000 / 9.80665} {
		data := "t,ax,ay,az,gx,gy,gz\n" + strings.Join(running(scale), "\n") + "\n"
		set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(data), recording.Left)}, recording.Options{})
		require.NoError(t, err)
		want := map[float64]string{1: "m/s2", 1 / 9.80665: "g", 1000 / 9.80665: "mg"}[scale]
		require.Equal(t, want, set.Tracks[0].Mapping[1].Unit)
		require.Len(t, with(texts(set), "it was read as "+want), 1)
	}
}

// One damaged number, whose size is infinite, decides nothing of a foot that never rests:
// it is left out, and the unit is that of the same file without it.
func TestADamagedNumberDoesNotTellTheUnitOfAMovingFoot(t *testing.T) {
	for _, heads := range []string{"t,ax,ay,az,gx,gy,gz", "time_s,acc_x_m_s2,acc_y_m_s2,acc_z_m_s2,gyr_x_rad_s,gyr_y_rad_s,gyr_z_rad_s"} {
		l := strings.Split(heads+"\n"+strings.Join(running(1), "\n"), "\n")
		for cell := 1; cell < 7; cell++ {
			got, track := readLines(t, put(l, 900, cell, "1e308"), recording.Options{})
			require.Equal(t, "m/s2", track.Mapping[1].Unit)
			require.Len(t, with(got.remarks, "which no sensor measures, taken as missing: 1;"), 1, "cell %d: %v", cell, got.remarks)
		}
	}
}
