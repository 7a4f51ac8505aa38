package gait

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// Whoever gives a file takes it to be in the numbers, so each one that is not is
// named with its reason and with what to do; those that are, are not.
func TestEveryFileThatIsNotUsedIsNamedWithItsReason(t *testing.T) {
	s := simulate.Defaults(event.Running)
	s.Duration = 20
	s.Left.Shin, s.Right.Shin = simulate.DefaultShin(), simulate.DefaultShin()
	run := simulate.Run(s)
	file := func(name string, side recording.Side, site recording.Site) recording.Source {
		var b bytes.Buffer
		require.NoError(t, run.WriteCSV(&b, side, site, simulate.Everyday))
		return recording.Bytes(name, b.Bytes(), side)
	}
	still := func(name, head, row string, rate float64) recording.Source {
		b := []byte("time_s," + head + "\n")
		for i := range int(20 * rate) {
			b = fmt.Appendf(b, "%g,%s\n", float64(i)/rate, row)
		}
		return recording.Bytes(name, b, recording.SideUnknown)
	}
	left, right := file("left_foot.csv", recording.Left, recording.Foot), file("right_foot.csv", recording.Right, recording.Foot)
	leftShin, rightShin := file("left_shin.csv", recording.Left, recording.Shin), file("right_shin.csv", recording.Right, recording.Shin)
	for name, c := range map[string]struct {
		given []recording.Source
		want  map[string]string
	}{
		"two feet":             {[]recording.Source{left, right}, nil},
		"two shins":            {[]recording.Source{leftShin, rightShin}, nil},
		"feet and shins":       {[]recording.Source{left, right, leftShin, rightShin}, map[string]string{"left_shin.csv": "on its foot", "right_shin.csv": "on its foot"}},
		"a foot and a shin":    {[]recording.Source{left, rightShin}, map[string]string{"right_shin.csv": "not compared"}},
		"feet and a waist":     {[]recording.Source{left, right, still("waist.csv", "acc_x_g,acc_y_g,acc_z_g,gyr_x_dps,gyr_y_dps,gyr_z_dps", "0,0,1,0,0,0", 100)}, map[string]string{"waist.csv": "setdown cadence waist.csv"}},
		"no gyroscope in it":   {[]recording.Source{left, still("right_foot.csv", "acc_x_g,acc_y_g,acc_z_g", "0,0,1", 100)}, map[string]string{"right_foot.csv": "setdown cadence right_foot.csv"}},
		"a watch's step rate ": {[]recording.Source{left, still("watch.csv", "cadence_spm", "170", 1)}, map[string]string{"watch.csv": "setdown cadence watch.csv"}},
	} {
		t.Run(name, func(t *testing.T) {
			set, err := recording.Open(t.Context(), c.given, recording.Options{})
			require.NoError(t, err)
			res, err := Analyze(t.Context(), set, Settings{Seed: 1})
			require.NoError(t, err)
			found := map[string]string{}
			for _, r := range res.Remarks {
				if r.Code == NotUsed {
					require.Equal(t, name == "feet and shins", r.Level == remark.Note, "nothing is lost where the leg is measured all the same")
					found[r.Place.File] = r.Text
				}
			}
			require.Len(t, found, len(c.want), "%v", found)
			for file, part := range c.want {
				require.Contains(t, found[file], part)
			}
		})
	}
}
