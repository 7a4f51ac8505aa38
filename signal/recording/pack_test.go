package recording_test

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// zipped packs files into an archive.
func zipped(t *testing.T, names []string, data func(string) io.Reader) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, n := range names {
		w, err := z.Create(n)
		require.NoError(t, err)
		_, err = io.Copy(w, data(n))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.Bytes()
}

func TestZipHoldsSeveralSensors(t *testing.T) {
	srcs := dialects.Dialect{}.Sources(dialects.Swinging(200, 5, 0), dialects.Swinging(200, 5, 0.5))
	data := zipped(t, []string{"run/left_foot.csv", "run/right_foot.csv", "__MACOSX/run/._left_foot.csv", "run/notes.md"}, func(name string) io.Reader {
		for _, s := range srcs {
			if strings.HasSuffix(name, "/"+s.Name) {
				r, err := s.Open()
				require.NoError(t, err)
				return r
			}
		}
		return strings.NewReader("no table")
	})
	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("run.zip", data, recording.SideUnknown)}, recording.Options{})
	require.NoError(t, err)
	require.Len(t, set.Tracks, 2)
	require.Equal(t, recording.Right, set.Tracks[1].Side)
	require.Equal(t, "run.zip/right_foot.csv", set.Tracks[1].Label)
	got, err := samplesOf(set.Tracks[1])
	require.NoError(t, err)
	require.Len(t, got, 1000)
}

// padded gives a recording of n bytes that is nearly all spaces.
func padded(n int64) io.Reader {
	return io.LimitReader(io.MultiReader(strings.NewReader("t,ax,ay,az\n"), &padding{}), n)
}

type padding struct {
	row  int
	rest []byte
}

func (p *padding) Read(b []byte) (int, error) {
	if len(p.rest) == 0 {
		p.rest = fmt.Appendf(nil, "%.3f,0,0,%s9.8\n", float64(p.row)/200, strings.Repeat(" ", 8000))
		p.row++
	}
	n := copy(b, p.rest)
	p.rest = p.rest[n:]
	return n, nil
}

func TestBombsAreDefused(t *testing.T) {
	if testing.Short() {
		t.Skip("packs 160 MiB")
	}
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, err := io.Copy(z, padded(80<<20))
	require.NoError(t, err)
	require.NoError(t, z.Close())
	for name, data := range map[string][]byte{
		"bomb.csv.gz": b.Bytes(),
		"bomb.zip":    zipped(t, []string{"a.csv"}, func(string) io.Reader { return padded(80 << 20) }),
	} {
		set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes(name, data, recording.Left)}, recording.Options{})
		if err == nil {
			_, err = set.Tracks[0].Read(nil, func(*recording.Block) error { return nil })
		}
		require.ErrorContains(t, err, "unpacks to more than 100 times its size", name)
	}
}

func TestDamagedPackingIsNamed(t *testing.T) {
	src := dialects.Dialect{Name: "gzip"}.Sources(dialects.Swinging(200, 5, 0), dialects.Swinging(200, 5, 0))[0]
	r, err := src.Open()
	require.NoError(t, err)
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, err = io.Copy(z, r)
	require.NoError(t, err)
	require.NoError(t, z.Close())
	data := b.Bytes()[:b.Len()-2000]
	_, err = recording.Open(t.Context(), []recording.Source{recording.Bytes("a.csv.gz", data, recording.Left)}, recording.Options{})
	require.EqualError(t, err, "a.csv.gz: damaged in packing: unexpected EOF")
	_, err = recording.Open(t.Context(), []recording.Source{recording.Bytes("a.zip", []byte("PK\x03\x04 and nothing"), recording.Left)}, recording.Options{})
	require.EqualError(t, err, "a.zip: damaged zip archive: zip: not a valid zip file")
	_, err = recording.Open(t.Context(), []recording.Source{recording.Bytes("a.zip", zipped(t, []string{"notes.md"}, func(string) io.Reader { return strings.NewReader("x") }), recording.Left)}, recording.Options{})
	require.EqualError(t, err, "a.zip: no .csv, .tsv or .txt file in the archive")
}

func TestStandardInputIsReadLikeAFile(t *testing.T) {
	src, err := recording.FromReader("standard input", strings.NewReader(strings.Join(lines(t), "\n")), recording.Left)
	require.NoError(t, err)
	set, err := recording.Open(t.Context(), []recording.Source{src}, recording.Options{})
	require.NoError(t, err)
	require.Equal(t, recording.Left, set.Tracks[0].Side)
	require.Equal(t, "given", set.Tracks[0].SideFrom)
}
