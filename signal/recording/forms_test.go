package recording_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// channelsOf reads a track to its end and returns its samples.
func channelsOf(t *testing.T, k *recording.Track) (out [6][]float64) {
	_, err := k.Read(nil, func(b *recording.Block) error {
		for c, v := range slices.Concat(b.Acc[:], b.Gyr[:]) {
			out[c] = append(out[c], v...)
		}
		return nil
	})
	require.NoError(t, err)
	return out
}

func TestFormsThatKeepTheDigitsReadToTheSameNumbers(t *testing.T) {
	left, right := dialects.Swinging(200, 14, 0), dialects.Swinging(200, 14, 0.5)
	plain, err := recording.Open(t.Context(), dialects.Dialect{}.Sources(left, right), recording.Options{})
	require.NoError(t, err)
	for _, d := range dialects.Forms() {
		t.Run(d.Name, func(t *testing.T) {
			set, err := recording.Open(t.Context(), d.Sources(left, right), recording.Options{})
			require.NoError(t, err)
			require.Len(t, set.Tracks, 2)
			for i, k := range set.Tracks {
				require.Equal(t, plain.Tracks[i].Rate, k.Rate)
				want := channelsOf(t, plain.Tracks[i])
				if d.NoGyro {
					want[3], want[4], want[5] = nil, nil, nil
				}
				got := channelsOf(t, k)
				require.Len(t, got[0], len(want[0]))
				for c := range want {
					require.True(t, slices.Equal(want[c], got[c]), "channel %d", c)
				}
			}
		})
	}
}

// refusals are files that must not be read, with what is said and what to type.
type refusal struct{ name, data, want, hint string }

func requireRefused(t *testing.T, c refusal) {
	t.Helper()
	_, _, _, err := readAll(t, c.data, recording.Options{})
	require.EqualError(t, err, c.want, c.name)
	var e *recording.Error
	require.ErrorAs(t, err, &e)
	require.Equal(t, c.hint, e.Hint, c.name)
}

// text writes the left foot of a dialect.
func text(t *testing.T, d dialects.Dialect) string {
	return strings.Join(linesOf(t, dialects.Swinging(200, 14, 0), d), "\n") + "\n"
}

func TestNotesUnderTheHeadingDoNotHideItsUnits(t *testing.T) {
	bare := dialects.Dialect{TimeHead: []string{"time"}, AccHead: func(a string) string { return "a" + a }, GyrHead: func(a string) string { return "g" + a }}
	odd := bare
	odd.Notes = [][]string{strings.Split("s,in/s2,in/s2,in/s2,cdps,cdps,cdps", ","), strings.Split("a,b,c,d,e,f,g", ",")}
	requireRefused(t, refusal{"units that are not known", text(t, odd), `left_foot.csv:1: column "ax": states the unit "in/s2", which is not known`,
		"write one of m/s2, g and mg, or rad/s, deg/s and mdeg/s, with the size of one count with --columns; setdown inspect left_foot.csv --save writes a file to edit"})
	wrong := bare
	wrong.Notes = [][]string{strings.Split("elapsed,forward (g),left (g),up (g),about x,about y,about z", ",")}
	requireRefused(t, refusal{"a unit in a note that the values contradict", text(t, wrong),
		`left_foot.csv:1: column "ax": states g, but reads 9.811 g when stillest where gravity alone is 1 g`,
		"the values look like m/s2; correct the heading or state the unit with --columns"})
	sides := bare
	sides.FileName = func(string) string { return "run.csv" }
	sides.Notes = [][]string{strings.Split(",right foot,right foot,right foot,right foot,right foot,right foot", ",")}
	s := dialects.Swinging(200, 14, 0)
	set, err := recording.Open(t.Context(), sides.Sources(s, s)[:1], recording.Options{})
	require.NoError(t, err)
	require.Equal(t, recording.Right, set.Tracks[0].Side, "a row of sides is no note")
}
