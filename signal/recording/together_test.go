package recording_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

// signed writes a plus sign before the first number of every line that odd picks:
// the same number, but no line that is read together with others.
func signed(lines []string, odd func(i int) bool) []string {
	out := append([]string(nil), lines[:1]...)
	for i, line := range lines[1:] {
		if odd(i) {
			line = "+" + line
		}
		out = append(out, line)
	}
	return out
}

// Which lines are read together does not show in what is read: lines that cannot be
// stand everywhere, nowhere, at the begin, rarely and often among the others.
func TestRowsReadTogetherAreRowsReadOneByOne(t *testing.T) {
	lines := longer(t, 100, 200)
	holes := cut(cut(put(lines, 9000, 3, ""), 5000, 5017), 700, 1400)
	for name, data := range map[string][]string{"plain": lines, "holes": holes, "the clock starts again": append(lines[:8000:8000], lines[1:9000]...)} {
		for _, end := range []string{"\n", "\r\n", "\r"} {
			read := func(odd func(int) bool) (reading, string) {
				text := strings.Join(signed(data, odd), end) + end
				set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(text), recording.Left)}, recording.Options{})
				require.NoError(t, err)
				r := readOnce(t, set.Tracks[0])
				r.inputs = nil // their size and hash differ
				return r, fmt.Sprint(set.Remarks.Sorted())
			}
			want, wantRemarks := read(func(int) bool { return true })
			for _, every := range []int{1 << 30, 2, 97, 255, 256, 257, 4001} {
				for _, from := range []int{0, 1, 130} {
					got, remarks := read(func(i int) bool { return i >= from && (i-from)%every == 0 })
					require.Equal(t, want, got, "%s, line end %q, from %d every %d", name, end, from, every)
					require.Equal(t, wantRemarks, remarks)
				}
			}
		}
	}
}
