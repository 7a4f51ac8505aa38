package recording

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// openData is the folder of open recordings; the test is skipped, saying so,
// where it is missing.
func openData(t *testing.T) string {
	dir := filepath.Join("..", "..", "..", "shared", "data")
	if _, err := os.Stat(dir); err != nil {
		if os.Getenv("SETDOWN_DATA") == "required" {
			t.Fatal("the open recordings are required, but missing: ", err)
		}
		t.Skip("the open recordings are missing: ", err)
	}
	return dir
}

func TestOpenDataIsReadWithoutFlags(t *testing.T) {
	dir := openData(t)
	files, err := filepath.Glob(filepath.Join(dir, "*", "*", "*.csv"))
	require.NoError(t, err)
	for _, path := range files {
		switch filepath.Base(path) {
		case "truth.csv", "grf.csv", "optical.csv":
			continue
		}
		name, err := filepath.Rel(dir, path)
		require.NoError(t, err)
		t.Run(name, func(t *testing.T) {
			s, err := Open(t.Context(), []Source{File(path, SideUnknown)}, Options{})
			require.NoError(t, err)
			require.Len(t, s.Tracks, 1)
			k := s.Tracks[0]
			t.Logf("%s %v/%s %v/%s rate %.9g acc %v gyr %v range %.3g %.3g %+v", k.Label, k.Side, k.SideFrom, k.Site, k.SiteFrom, k.Rate, k.HasAcc, k.HasGyr, k.AccRange, k.GyrRange, k.Mapping[1])
			rs := &s.Remarks
			n := 0
			sum, err := k.Read(rs, func(b *Block) error { n += b.Len(); return nil })
			require.NoError(t, err)
			t.Logf("%+v %d", sum, n)
			codes := map[string]bool{}
			for _, r := range rs.Sorted() {
				t.Log(r.Code, r.Level, r)
				codes[r.Code] = true
			}
			require.Equal(t, filepath.Base(path) == "sacrum.csv", codes["axis-missing"])
			require.Equal(t, !k.HasGyr, codes["gyroscope-missing"])
			require.Equal(t, strings.Contains(name, "run-one-foot"), codes["clipped-gyr"], "only the one foot's gyroscope clips")
			require.Equal(t, 1, sum.Spans)
		})
	}
}

func TestMotionBIDSIsReadWithTheFilesBesideIt(t *testing.T) {
	dir := filepath.Join(openData(t), "motion-bids-walk", "sub-FZ", "motion")
	files, err := filepath.Glob(filepath.Join(dir, "*_motion.tsv"))
	require.NoError(t, err)
	require.Len(t, files, 2)
	for _, path := range files {
		s, err := Open(t.Context(), []Source{File(path, SideUnknown)}, Options{})
		require.NoError(t, err)
		require.Len(t, s.Tracks, 4)
		for i, want := range []struct {
			side Side
			site Site
		}{{Left, Foot}, {Right, Foot}, {Left, Shin}, {Right, Shin}} {
			k := s.Tracks[i]
			require.Equal(t, want.side, k.Side)
			require.Equal(t, want.site, k.Site)
			require.Equal(t, 128.0, k.Rate)
			require.True(t, k.HasAcc && k.HasGyr)
			n := 0
			_, err := k.Read(nil, func(b *Block) error { n += b.Len(); return nil })
			require.NoError(t, err)
			require.Equal(t, 3840, n)
		}
	}
}
