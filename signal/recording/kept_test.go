package recording_test

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
	"setdown/signal/remark"
)

// reading is all that one reading of a track gives.
type reading struct {
	acc, gyr [3][]float64
	void     []recording.Void
	spans    []string
	sum      recording.Summary
	remarks  []string
	inputs   []recording.Input
	err      string
}

// readOnce reads a track and makes sure that samples that stay are not changed.
func readOnce(t *testing.T, k *recording.Track) reading {
	var r reading
	var stay []recording.Block
	var rs remark.List
	sum, err := k.Read(&rs, func(b *recording.Block) error {
		if b.Stays {
			stay = append(stay, *b)
		}
		for c := range 3 {
			r.acc[c], r.gyr[c] = append(r.acc[c], b.Acc[c]...), append(r.gyr[c], b.Gyr[c]...)
		}
		r.void = append(r.void, b.Void...)
		if b.Last {
			r.spans = append(r.spans, fmt.Sprint(b.Span, b.First+b.Len(), b.Start))
		}
		return nil
	})
	n := 0
	for i, b := range stay {
		for c := range 3 {
			require.True(t, equalPart(r.acc[c], n, b.Acc[c]) && equalPart(r.gyr[c], n, b.Gyr[c]), "a block that stays was changed")
		}
		if before := stay[max(0, i-1)].Acc[0]; i > 0 {
			require.Same(t, &before[:len(before)+1][len(before)], &b.Acc[0][0], "blocks that stay follow on each other")
		}
		n += b.Len()
	}
	r.sum, r.inputs, r.err = sum, slices.Clone(k.Inputs), fmt.Sprint(err)
	for _, x := range rs.Sorted() {
		r.remarks = append(r.remarks, x.String())
	}
	return r
}

func equalPart(all []float64, from int, part []float64) bool {
	return part == nil || slices.Equal(all[from:from+len(part)], part)
}

// onDisk is text that can be read from any place, as a file can.
type onDisk struct{ *strings.Reader }

func (onDisk) Close() error { return nil }

// opened counts how often a source is opened.
func opened(name, data string, n *int) recording.Source {
	s := recording.Bytes(name, nil, recording.Left)
	s.Open = func() (io.ReadCloser, error) { *n++; return onDisk{strings.NewReader(data)}, nil }
	return s
}

// longer makes a file of several minutes, in the plain dialect, whose head is not
// all of it where seconds are many.
func longer(t *testing.T, rate, seconds float64) []string {
	s := dialects.Swinging(rate, seconds, 0)
	r, err := dialects.Dialect{Digits: 6}.Sources(s, s)[0].Open()
	require.NoError(t, err)
	data, err := io.ReadAll(r)
	require.NoError(t, err)
	return strings.Split(strings.TrimSuffix(string(data), "\n"), "\n")
}

func TestReadingWhatOpeningKeptIsReadingTheFile(t *testing.T) {
	whole, more := longer(t, 100, 60), longer(t, 100, 200)
	holes := whole
	for at := 5800; at > 400; at -= 60 {
		holes = cut(holes, at, at+9) // more samples are filled in than rows wait
	}
	for _, c := range []struct {
		name string
		data []string
		ends string
	}{
		{"the whole file", whole, "\n"}, {"no line end at the end", whole, ""}, {"carriage returns", whole, "\r\n"},
		{"more than the head", more, "\n"}, {"holes", holes, "\n"},
		{"a cell without a value", put(whole, 3000, 2, "NaN"), "\n"}, {"one in the first row", put(whole, 2, 5, ""), "\n"},
		{"one after the head", put(more, 19000, 2, "NaN"), "\n"}, {"a line cut short", append(slices.Clone(whole), "60.0,1"), ""},
		{"gaps", shifted(shifted(more, 4000, 99999, 7), 9000, 99999, 3), "\n"}, {"a stretch too short", cut(cut(whole, 900, 1100), 800, 850), "\n"},
		{"the clock starts again", append(slices.Clone(whole), whole[1:]...), "\n"}, {"rows twice", append(slices.Clone(whole[:3000]), whole[2900:]...), "\n"},
		{"shaken stamps", shifted(shifted(whole, 1000, 1001, 0.004), 1500, 1501, -0.003), "\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			end := c.ends
			if end == "" {
				end = "\n"
			}
			n := 0
			text := strings.Join(c.data, end) + c.ends
			set, err := recording.Open(t.Context(), []recording.Source{opened("left_foot.csv", text, &n)}, recording.Options{})
			require.NoError(t, err)
			before := n
			first := readOnce(t, set.Tracks[0])
			if c.name == "the whole file" {
				require.Equal(t, before, n, "what opening has read is not read again")
			}
			require.Equal(t, first, readOnce(t, set.Tracks[0]))
			require.Greater(t, n, before)
			require.Equal(t, fmt.Sprintf("%x", sha256.Sum256([]byte(text))), first.inputs[0].SHA256)
			require.Equal(t, int64(len(text)), first.inputs[0].Bytes)

			n = 0
			packed := opened("left_foot.csv.gz", zippedUp(t, text), &n)
			set, err = recording.Open(t.Context(), []recording.Source{packed}, recording.Options{})
			require.NoError(t, err)
			again := readOnce(t, set.Tracks[0])
			require.Equal(t, again, readOnce(t, set.Tracks[0]))
			require.Equal(t, first.acc, again.acc)
			require.Equal(t, first.sum, again.sum)
		})
	}
}

func zippedUp(t *testing.T, text string) string {
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	_, err := io.WriteString(w, text)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return b.String()
}

func TestReadingWhatOpeningKeptIsReadingTheFileInEveryDialect(t *testing.T) {
	left, right := dialects.Swinging(200, 14, 0), dialects.Swinging(200, 14, 0.5)
	for _, d := range dialects.Table() {
		set, err := recording.Open(t.Context(), d.Sources(left, right), recording.Options{})
		require.NoError(t, err)
		for _, k := range set.Tracks {
			first, again := readOnce(t, k), readOnce(t, k)
			require.True(t, slices.Equal(first.acc[2], again.acc[2]) && slices.Equal(first.gyr[1], again.gyr[1]) && slices.Equal(first.void, again.void), d.Name)
			require.Equal(t, first.sum, again.sum, d.Name)
			require.Equal(t, first.inputs, again.inputs, d.Name)
		}
	}
}

func TestAReadingThatIsEndedEarlyLeavesTheNextWhole(t *testing.T) {
	text := strings.Join(longer(t, 100, 60), "\n") + "\n"
	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(text), recording.Left)}, recording.Options{})
	require.NoError(t, err)
	enough := errors.New("enough")
	_, err = set.Tracks[0].Read(nil, func(*recording.Block) error { return enough })
	require.Equal(t, enough, err)
	require.Len(t, readOnce(t, set.Tracks[0]).void, 6000)
}

func TestSetsThatUseTheSameRoomAreWhatTheyAreAlone(t *testing.T) {
	var room recording.Room
	for i, d := range dialects.Table() {
		if i%3 > 0 {
			continue
		}
		seconds := 9 + float64(i%5)
		sources := d.Sources(dialects.Swinging(200, seconds, 0), dialects.Swinging(200, seconds, 0.5))
		alone, err := recording.Open(t.Context(), sources, recording.Options{})
		require.NoError(t, err)
		set, err := recording.Open(t.Context(), sources, recording.Options{Room: &room})
		require.NoError(t, err)
		require.Equal(t, fmt.Sprint(alone.Remarks.Sorted()), fmt.Sprint(set.Remarks.Sorted()), d.Name)
		for n, k := range alone.Tracks {
			require.Equal(t, readOnce(t, k), readOnce(t, set.Tracks[n]), d.Name)
		}
	}
}
