package recording_test

import (
	"bytes"
	"context"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// grid is a track's samples, copied.
type grid struct {
	t float64
	v [6]float64
}

// samplesOf reads a track whole.
func samplesOf(k *recording.Track) ([]grid, error) {
	var out []grid
	_, err := k.Read(nil, func(b *recording.Block) error {
		for i := range b.Void {
			g := grid{t: b.Start + float64(b.First+i)/k.Rate}
			for c := range 3 {
				if b.Acc[c] != nil {
					g.v[c] = b.Acc[c][i]
				}
				if b.Gyr[c] != nil {
					g.v[c+3] = b.Gyr[c][i]
				}
			}
			out = append(out, g)
		}
		return nil
	})
	return out, err
}

// plainAgain writes a track in the plain dialect and opens that.
func plainAgain(ctx context.Context, k *recording.Track) (*recording.Track, error) {
	var b bytes.Buffer
	if err := recording.WritePlain(&b, k, nil); err != nil {
		return nil, err
	}
	// The name keeps the site, which decides whether an axis may be missing.
	set, err := recording.Open(ctx, []recording.Source{recording.Bytes(k.Site.String()+".csv", b.Bytes(), k.Side)}, recording.Options{})
	if err != nil {
		return nil, err
	}
	return set.Tracks[0], nil
}

func TestPlainDialectReadsBackIdentically(t *testing.T) {
	left, right := dialects.Swinging(200, 14, 0), dialects.Swinging(200, 14, 0.5)
	for i, d := range dialects.Table() {
		if testing.Short() && i%9 > 0 {
			continue
		}
		set, err := recording.Open(t.Context(), d.Sources(left, right), recording.Options{})
		require.NoError(t, err)
		again, err := plainAgain(t.Context(), set.Tracks[1])
		require.NoError(t, err, d.Name)
		require.Equal(t, set.Tracks[1].Rate, again.Rate, d.Name)
		want, err := samplesOf(set.Tracks[1])
		require.NoError(t, err)
		got, err := samplesOf(again)
		require.NoError(t, err)
		require.True(t, slices.Equal(want, got), d.Name)
	}
}

// seeds are short files of every dialect and some broken ones.
func seeds(f *testing.F) {
	s := dialects.Swinging(50, 1.5, 0)
	for i, d := range dialects.Table() {
		if testing.Short() && i%5 > 0 {
			continue
		}
		r, err := d.Sources(s, s)[0].Open()
		if err != nil {
			f.Fatal(err)
		}
		data, err := io.ReadAll(r)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	for _, text := range []string{"", "t,ax\n", "\x00", "t,ax,ay,az\n1,2,3,4\n", "time,cadence\n1,90\n2,91\n", strings.Repeat("1,", 5000)} {
		f.Add([]byte(text))
	}
}

// fuzzBytes bounds a fuzzed file.
const fuzzBytes = 256 << 10

// FuzzRead: whatever the bytes, opening and reading neither panics nor hangs,
// and what is accepted reads back identically from the plain dialect.
func FuzzRead(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > fuzzBytes {
			return
		}
		set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("foot.csv", data, recording.SideUnknown)}, recording.Options{})
		if err != nil {
			var e *recording.Error
			require.ErrorAs(t, err, &e)
			return
		}
		for _, k := range set.Tracks {
			want, err := samplesOf(k)
			if err != nil {
				var e *recording.Error
				require.ErrorAs(t, err, &e)
				continue
			}
			for _, g := range want {
				for _, v := range g.v {
					if math.IsNaN(v) || math.IsInf(v, 0) {
						t.Fatal("a sample is not finite")
					}
				}
			}
			again, err := plainAgain(t.Context(), k)
			if err != nil && strings.Contains(err.Error(), ": states ") {
				// At the very margin of the check against physics, the even grid may
				// fall on the other side than the raw samples.
				continue
			}
			require.NoError(t, err)
			got, err := samplesOf(again)
			require.NoError(t, err)
			require.True(t, slices.Equal(want, got), "reads back differently: %d and %d samples", len(want), len(got))
		}
	})
}

// FuzzParseFloat: a cell that is read as a number is the float64 that strconv
// makes of it, bit for bit.
func FuzzParseFloat(f *testing.F) {
	for _, s := range []string{"0", "-0", "1", "-12.5", ".5", "5.", "123456789012345678", "0.1234567890123456789", "9007199254740993", "9007199254740992",
		"1e22", "1e23", "2.2250738585072011e-308", "4.9e-324", "5e-325", "1.7976931348623157e308", "1e309", "0.000001", "179769313486231570000",
		"8.5e-1", "1E5", "+3.25", "--1", "1.2.3", "1e", "0x10", "1_000", "inf", "nan", "6929495644600919.5", "3.7455744005952583e+15", "0.30000000000000004"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, dec := range []byte{'.', ','} {
			v, ok := recording.ParseNumber([]byte(s), dec)
			if !ok {
				continue
			}
			text := s
			if dec == ',' {
				require.NotContains(t, s, ".")
				text = strings.ReplaceAll(s, ",", ".")
			}
			want, err := strconv.ParseFloat(text, 64)
			require.NoError(t, err)
			require.Equal(t, math.Float64bits(want), math.Float64bits(v), "%q", s)
		}
	})
}

func TestNumbersOfEveryFormAreBitEqualToStrconv(t *testing.T) {
	r := newRand()
	n := 200_000
	if testing.Short() {
		n = 20_000
	}
	for range n {
		s := randomNumber(r)
		want, err := strconv.ParseFloat(s, 64)
		v, ok := recording.ParseNumber([]byte(s), '.')
		if ok != (err == nil) {
			t.Fatalf("%s: read %v, strconv says %v", s, ok, err)
		}
		if ok && math.Float64bits(want) != math.Float64bits(v) {
			require.Equal(t, want, v, s)
		}
	}
}
