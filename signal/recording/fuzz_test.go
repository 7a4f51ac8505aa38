package recording_test

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// grid is a track's samples, copied.
type grid struct {
	t    float64
	v    [6]float64
	span float64 // where its stretch begins, s
}

// samplesOf reads a track whole.
func samplesOf(k *recording.Track) ([]grid, error) {
	var out []grid
	_, err := k.Read(nil, func(b *recording.Block) error {
		for i := range b.Void {
			g := grid{t: b.Start + float64(b.First+i)/k.Rate, span: b.Start}
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
		if i%4 > 0 || testing.Short() && i%9 > 0 {
			continue // what is written does not depend on the dialect; the fuzz test has them all
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
		f.Add(bytesOf(f, d.Sources(s, s)[0]))
	}
	for _, text := range []string{"", "t,ax\n", "\x00", "t,ax,ay,az\n1,2,3,4\n", "time,cadence\n1,90\n2,91\n", strings.Repeat("1,", 5000)} {
		f.Add([]byte(text))
	}
}

func bytesOf(t testing.TB, s recording.Source) []byte {
	r, err := s.Open()
	require.NoError(t, err)
	data, err := io.ReadAll(r)
	require.NoError(t, err)
	return data
}

// fuzzBytes bounds a fuzzed file.
const fuzzBytes = 256 << 10

// What reading may cost, as docs/csv.md states it. All that is allocated on the
// way is counted, which is never less than what is held at one time.
const (
	openFree, openTimes = 1 << 20, 400 // bytes, and bytes per byte of the table
	readFree, readTimes = 1 << 20, 100 // the same for each reading of a sensor
	// passes bounds how often the bytes are read to open a file, without sensors
	// and for each sensor.
	passes, passesMore = 4, 3
	// filled bounds the samples made of one row: a hole is filled at the highest
	// rate, and the row itself stands on the grid.
	filled = recording.BridgeSeconds*recording.MaxRate + 2
	// hangs is how long, in s, 256 KiB may take at the very worst.
	hangs = 60
)

// cost counts what reading a source takes.
type cost struct {
	data []byte
	read int
}

func (c *cost) source() recording.Source {
	return recording.Source{Name: "foot.csv", Open: func() (io.ReadCloser, error) {
		return io.NopCloser(&counted{bytes.NewReader(c.data), c}), nil
	}}
}

type counted struct {
	r io.Reader
	c *cost
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	c.c.read += n
	return n, err
}

// allocated returns how many bytes f allocates; 0 under the race detector, which
// allocates for itself.
func allocated(f func()) int {
	if raced {
		f()
		return 0
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return int(after.TotalAlloc - before.TotalAlloc)
}

// unpacked is the size of the tables in data: its own, or that of what is packed
// in it.
func unpacked(data []byte) int {
	size := int64(len(data))
	if z, err := gzip.NewReader(bytes.NewReader(data)); err == nil {
		n, _ := io.Copy(io.Discard, io.LimitReader(z, 1<<28))
		size += n
	}
	if z, err := zip.NewReader(bytes.NewReader(data), size); err == nil {
		for _, m := range z.File {
			if r, err := m.Open(); err == nil {
				n, _ := io.Copy(io.Discard, io.LimitReader(r, 1<<28))
				size += n
			}
		}
	}
	return int(size)
}

// FuzzRead: whatever the bytes, opening and reading neither panics nor hangs,
// costs no more than a stated multiple of the input in memory and in passes, and
// what is accepted reads back identically from the plain dialect.
func FuzzRead(f *testing.F) {
	seeds(f)
	f.Fuzz(readsSoundly)
}

// readsSoundly holds opening and reading data against what FuzzRead asks.
func readsSoundly(t *testing.T, data []byte) {
	if len(data) > fuzzBytes {
		return
	}
	alarm := time.AfterFunc(hangs*time.Second, func() { panic("reading hangs") })
	defer alarm.Stop()
	c := &cost{data: data}
	size := unpacked(data)
	var set *recording.Set
	var err error
	mem := allocated(func() {
		set, err = recording.Open(t.Context(), []recording.Source{c.source()}, recording.Options{})
	})
	require.LessOrEqual(t, mem, openFree+openTimes*size, "bytes allocated to open %d", size)
	if err != nil {
		var e *recording.Error
		require.ErrorAs(t, err, &e)
		return
	}
	require.LessOrEqual(t, c.read, (passes+passesMore*len(set.Tracks))*(len(data)+1<<12), "bytes read to open %d", len(data))
	for _, k := range set.Tracks {
		sameAgain(t, k, c, size)
	}
	for _, w := range set.Cadences {
		sameCadence(t, w)
	}
}

// sameAgain reads a track, holds its cost against the limits, and wants the same
// samples from the plain dialect.
func sameAgain(t *testing.T, k *recording.Track, c *cost, size int) {
	c.read = 0
	n := 0
	mem := allocated(func() { k.Read(nil, func(b *recording.Block) error { n += b.Len(); return nil }) })
	require.LessOrEqual(t, mem, readFree+readTimes*size, "bytes allocated to read %d", size)
	require.LessOrEqual(t, c.read, 2*(len(c.data)+1<<12), "bytes read")
	require.LessOrEqual(t, float64(n), filled*float64(size), "samples made")
	want, err := samplesOf(k)
	if err != nil {
		var e *recording.Error
		require.ErrorAs(t, err, &e)
		return
	}
	for _, g := range want {
		for _, v := range g.v {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatal("a sample is not finite")
			}
		}
	}
	if notAsItWas(want) {
		return
	}
	again, err := plainAgain(t.Context(), k)
	if err != nil && strings.Contains(err.Error(), ": states ") {
		// At the very margin of the check against physics, the even grid may
		// fall on the other side than the raw samples.
		return
	}
	require.NoError(t, err)
	got, err := samplesOf(again)
	require.NoError(t, err)
	if again.Rate != k.Rate {
		// Rows that are not in the plain file, of a stretch too short to keep or with a
		// wild stamp, had their say in the rate.
		require.InEpsilon(t, k.Rate, again.Rate, 1e-4)
		require.InDelta(t, len(want), len(got), 1)
		return
	}
	require.True(t, slices.Equal(want, got), "reads back differently: %d and %d samples", len(want), len(got))
}

// notAsItWas tells that samples may read differently from the plain dialect, which
// has neither the rows of the file nor its stamps: rows that repeat, or are zeros, are
// judged by what is usual in a table, stretches may come nearer to each other on the
// grid than by their stamps, and stamps of so many seconds are dates.
func notAsItWas(samples []grid) bool {
	const dates = 1e8
	repeats := 0
	for i, b := range samples {
		if b.v == [6]float64{} || math.Abs(b.t) > dates {
			return true
		}
		if i == 0 {
			continue
		}
		a := samples[i-1]
		if repeats++; a.v != b.v {
			repeats = 0
		}
		if repeats >= 2 || a.span != b.span && b.t-a.t <= 2*recording.BridgeSeconds {
			return true
		}
	}
	return false
}

// sameCadence writes a watch's series in plain columns and wants it back.
func sameCadence(t *testing.T, w *recording.Cadence) {
	if len(w.Time) < 2 {
		return // one row alone has no time that advances
	}
	var b strings.Builder
	b.WriteString("time_s,cadence_steps_per_min,speed_m_s\n")
	number := func(v float64) string {
		if math.IsNaN(v) {
			return ""
		}
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	for i := range w.Time {
		rate := w.StepsPerMinute[i]
		if math.IsNaN(rate) {
			rate = 0 // no steps: an empty row would be left out
		}
		fmt.Fprintf(&b, "%s,%s,%s\n", number(w.Time[i]), number(rate), number(w.Speed[i]))
	}
	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("watch.csv", []byte(b.String()), recording.SideUnknown)}, recording.Options{})
	require.NoError(t, err, b.String())
	require.Len(t, set.Cadences, 1)
	again := set.Cadences[0]
	for i, name := range []string{"time", "step rate", "speed"} {
		a, b := [][]float64{w.Time, w.StepsPerMinute, w.Speed}[i], [][]float64{again.Time, again.StepsPerMinute, again.Speed}[i]
		require.True(t, slices.EqualFunc(a, b, func(x, y float64) bool { return x == y || math.IsNaN(x) && math.IsNaN(y) }), "%s reads back differently", name)
	}
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
			if !ok || strings.ContainsAny(s, "\u00a0\u202f\u2009\u2007'’\u2212") || strings.Contains(s, ".") && strings.Contains(s, ",") {
				continue // written for people: TestNumbersWrittenForPeople
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
