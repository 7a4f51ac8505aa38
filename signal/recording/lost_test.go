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
	"setdown/signal/recording/dialects"
	"setdown/signal/remark"
)

// lostCodes are the remarks of rows that are no measurements, or not at the rate of
// the others.
var lostCodes = []string{"rows-zero", "rows-held", "rows-slow", "rows-repeat", "time-rate-changed"}

// filledWith replaces the values of lines from to to−1: by zeros, or by those of the
// line before.
func filledWith(l []string, from, to int, zeros bool) []string {
	l = append([]string(nil), l...)
	for i := from; i < to; i++ {
		t, _, _ := strings.Cut(l[i-1], ",")
		_, v, _ := strings.Cut(l[from-2], ",")
		if zeros {
			v = strings.Repeat("0,", strings.Count(v, ",")) + "0"
		}
		l[i-1] = t + "," + v
	}
	return l
}

// readLines reads a file of these lines.
func readLines(t *testing.T, l []string, opt recording.Options) (reading, *recording.Track) {
	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(strings.Join(l, "\n")+"\n"), recording.SideUnknown)}, opt)
	require.NoError(t, err)
	r := readOnce(t, set.Tracks[0])
	for _, x := range set.Remarks.Sorted() {
		r.remarks = append(r.remarks, x.String())
	}
	return r, set.Tracks[0]
}

// sameSamples requires that two readings gave the same samples, marks and spans.
func sameSamples(t *testing.T, want, got reading) {
	require.Equal(t, want.acc, got.acc)
	require.Equal(t, want.gyr, got.gyr)
	require.Equal(t, want.void, got.void)
	require.Equal(t, want.spans, got.spans)
	require.Equal(t, want.sum, got.sum)
}

func with(remarks []string, word string) []string {
	var out []string
	for _, r := range remarks {
		if strings.Contains(r, word) {
			out = append(out, r)
		}
	}
	return out
}

// What a file without the rows gives is the reference: nothing may be left of them.
func TestRowsThatAreNoMeasurementsAreReadAsIfTheyWereMissing(t *testing.T) {
	l := lines(t)
	late := longer(t, 100, 200)
	for _, c := range []struct {
		name     string
		lines    []string
		from, to int
		zeros    bool
	}{
		{"one row of zeros", l, 700, 701, true},
		{"zeros for 50 ms", l, 700, 710, true},
		{"zeros for 1 s", l, 700, 900, true},
		{"zeros at the start", l, 2, 60, true},
		{"zeros to the end", l, 1300, 1602, true},
		{"zeros at rest", l, 200, 230, true},
		{"two rows held", l, 700, 702, false},
		{"held for 50 ms", l, 700, 710, false},
		{"held for 1 s", l, 700, 900, false},
		{"held for 3 s", l, 700, 1300, false},
		{"held to the end", l, 1500, 1602, false},
		{"zeros after what decides", late, 18000, 18030, true},
		{"held after what decides", late, 18000, 18300, false},
		{"held for long after what decides", late, 17000, 19500, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			want, _ := readLines(t, cut(c.lines, c.from, c.to), recording.Options{})
			got, _ := readLines(t, filledWith(c.lines, c.from, c.to, c.zeros), recording.Options{})
			sameSamples(t, want, got)
			found := with(got.remarks, "taken as lost samples")
			require.Len(t, found, 1)
			at, _ := strconv.ParseFloat(strings.SplitN(c.lines[c.from-1], ",", 2)[0], 64)
			require.Contains(t, found[0], fmt.Sprintf("left_foot.csv:%d (at %.3f s)", c.from, at))
			require.Contains(t, found[0], fmt.Sprintf("lost samples: %d;", c.to-c.from))
		})
	}
}

// Stamps that several samples share do not tell of a hole: the rows keep their places
// and lose their values.
func TestHeldRowsAmongSharedStampsKeepTheirPlaces(t *testing.T) {
	share := func(l []string) []string {
		l = append([]string(nil), l...)
		for i := 1; i < len(l); i++ {
			first, _, _ := strings.Cut(l[1+(i-1)/10*10], ",")
			_, v, _ := strings.Cut(l[i], ",")
			l[i] = first + "," + v
		}
		return l
	}
	l := lines(t)
	want, _ := readLines(t, share(l), recording.Options{})
	got, _ := readLines(t, share(filledWith(l, 700, 712, false)), recording.Options{})
	require.Len(t, got.void, len(want.void))
	for i, v := range got.void {
		lost := i >= 698 && i < 710
		require.Equal(t, lost, v == recording.VoidAcc|recording.VoidGyr, "sample %d", i)
		if !lost {
			require.Equal(t, want.gyr[1][i], got.gyr[1][i], "sample %d", i)
		}
	}
}

// everyOther holds the cells of every second row, of the accelerometer, the gyroscope
// or both.
func everyOther(l []string, every int, cells ...int) []string {
	l = append([]string(nil), l...)
	for i := 1; i < len(l); i++ {
		first := strings.Split(l[1+(i-1)/every*every], ",")
		row := strings.Split(l[i], ",")
		for _, c := range cells {
			row[c] = first[c]
		}
		l[i] = strings.Join(row, ",")
	}
	return l
}

func TestASensorSlowerThanItsRowsIsReadAtItsTrueRate(t *testing.T) {
	l := linesOf(t, dialects.Swinging(400, 20, 0), dialects.Dialect{Digits: 6})
	all := []int{1, 2, 3, 4, 5, 6}
	for _, c := range []struct {
		name  string
		every int
		cells []int
		who   string
	}{
		{"both", 2, all, "all values change only every 2 rows: it was read at the true rate of 200 Hz"},
		{"the accelerometer", 2, all[:3], "the accelerometer's values change only every 2 rows: it was read at the true rate of 200 Hz"},
		{"the gyroscope", 4, all[3:], "the gyroscope's values change only every 4 rows: it was read at the true rate of 100 Hz"},
	} {
		t.Run(c.name, func(t *testing.T) {
			thin := l[:1:1]
			for i := 1; i < len(l); i += c.every {
				thin = append(thin, l[i])
			}
			held := everyOther(l, c.every, c.cells...)
			want, _ := readLines(t, thin, recording.Options{})
			got, k := readLines(t, held, recording.Options{})
			require.Equal(t, 400/float64(c.every), k.Rate)
			sameSamples(t, want, got)
			require.Len(t, with(got.remarks, c.who), 1)

			counted, k := readLines(t, columns(held, all...), recording.Options{Mapping: &recording.Mapping{Rate: 400}})
			require.Equal(t, 400/float64(c.every), k.Rate)
			require.Equal(t, want.acc, counted.acc)
		})
	}
}

func TestRowsThatOftenRepeatAreTold(t *testing.T) {
	l := linesOf(t, dialects.Swinging(200, 20, 0), dialects.Dialect{Digits: 6})
	poll := append([]string(nil), l...)
	for i := 1; i < len(l); i++ { // 128 Hz asked for 200 times a second
		k := math.Ceil(math.Floor(float64(i-1)*0.64)/0.64 - 1e-9)
		at, _, _ := strings.Cut(l[i], ",")
		_, v, _ := strings.Cut(l[1+int(k)], ",")
		poll[i] = at + "," + v
	}
	got, k := readLines(t, poll, recording.Options{})
	require.Equal(t, 200.0, k.Rate)
	require.Len(t, with(got.remarks, "% of the rows repeat the row before them while the sensor moves"), 1)
	require.Empty(t, with(got.remarks, "lost samples"))
}

// atRates writes samples of a sine whose rate changes at given rows.
func atRates(t *testing.T, s dialects.Samples, every func(i int) int) []string {
	l := linesOf(t, s, dialects.Dialect{Digits: 6})
	out := l[:1:1]
	for i := 1; i < len(l); i += every(i) {
		out = append(out, l[i])
	}
	return out
}

// Every sample must stand at its time, also where the rate is another.
func TestAChangeOfTheRateIsToldAndMovesNoSample(t *testing.T) {
	for _, c := range []struct {
		name          string
		seconds       float64
		before, after int
		at            float64 // s
		told          string
		rate          float64
	}{
		{"half the rate", 40, 1, 2, 30, "the rows come at 100 Hz from here on, not at 200 Hz", 200},
		{"twice the rate", 40, 2, 1, 30, "the rows come at 200 Hz from here on, not at 100 Hz", 100},
		{"half the rate after what decides", 240, 1, 2, 230, "the rows come at 100 Hz from here on, not at 200 Hz", 200},
		{"twice the rate after what decides", 240, 2, 1, 230, "the rows come at 200 Hz from here on, not at 100 Hz", 100},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := dialects.Swinging(200, c.seconds, 0)
			row := int(c.at * 200)
			l := atRates(t, s, func(i int) int {
				if i < row {
					return c.before
				}
				return c.after
			})
			set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(strings.Join(l, "\n")+"\n"), recording.Left)}, recording.Options{})
			require.NoError(t, err)
			k := set.Tracks[0]
			if c.seconds > recording.DecideSeconds {
				require.Equal(t, c.rate, k.Rate)
			}
			var rs remark.List
			_, err = k.Read(&rs, func(b *recording.Block) error {
				for i, v := range b.Void {
					at := b.Start + float64(b.First+i)/k.Rate
					if j := int(math.Round(at * 200)); v == 0 && math.Abs(at*200-float64(j)) < 0.01 {
						require.InDelta(t, s.Gyr[1][j], b.Gyr[1][i], 0.02, "at %.4f s", at)
					}
				}
				return nil
			})
			require.NoError(t, err)
			var all []string
			for _, r := range rs.Sorted() {
				all = append(all, r.String())
			}
			told := with(all, c.told)
			require.Len(t, told, 1, "%v", all)
			var place float64
			_, err = fmt.Sscanf(told[0][strings.Index(told[0], "(at ")+4:], "%f", &place)
			require.NoError(t, err)
			require.InDelta(t, c.at, place, 0.02)
		})
	}
}

// rounded writes samples in steps of a sensor of so many bits over ±16 g and ±2000
// deg/s; turn sets the axes of the accelerometer aslant afterwards, as a calibration
// does.
func rounded(l []string, bits int, turn float64) []string {
	steps := [2]float64{32 * 9.80665 / math.Exp2(float64(bits)), 4000 * math.Pi / 180 / math.Exp2(float64(bits))}
	out := l[:1:1]
	for _, s := range l[1:] {
		cells := strings.Split(s, ",")
		var v [6]float64
		for c := range min(6, len(cells)-1) {
			x, err := strconv.ParseFloat(cells[c+1], 64)
			if err != nil {
				x = 0
			}
			v[c] = math.Round(x/steps[c/3]) * steps[c/3]
		}
		for s := 0; s < 6; s += 3 {
			x, y, z := v[s], v[s+1], v[s+2]
			v[s], v[s+1], v[s+2] = x+turn*y, y-turn*x+turn*z, z-turn*y
		}
		for c := range min(6, len(cells)-1) {
			if cells[c+1] != "" {
				cells[c+1] = fmt.Sprintf("%.9g", v[c])
			}
		}
		out = append(out, strings.Join(cells, ","))
	}
	return out
}

// A sensor that measures in coarse steps repeats itself at rest, in stance, in free
// flight: none of the open recordings may be said to have lost samples for that.
func TestCoarseStepsAreNotTakenForLostSamples(t *testing.T) {
	dir := filepath.Join("..", "..", "..", "shared", "data")
	if _, err := os.Stat(dir); err != nil {
		if os.Getenv("SETDOWN_DATA") == "required" {
			t.Fatal("the open recordings are required, but missing: ", err)
		}
		t.Skip("the open recordings are missing: ", err)
	}
	files, err := filepath.Glob(filepath.Join(dir, "*", "*", "*.csv"))
	require.NoError(t, err)
	read := 0
	for _, path := range files {
		switch name := filepath.Base(path); {
		case name == "truth.csv" || name == "grf.csv" || name == "optical.csv":
			continue
		case testing.Short() && read > 100:
			continue
		}
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		l := strings.Split(strings.TrimSpace(strings.ReplaceAll(string(data), "\r", "")), "\n")
		for _, bits := range []int{0, 13, 11, 9, 7} {
			for _, turn := range []float64{0, 0.02} {
				file := l
				if bits > 0 {
					file = rounded(l, bits, turn)
				} else if turn > 0 {
					continue
				}
				set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes(filepath.Base(path), []byte(strings.Join(file, "\n")+"\n"), recording.SideUnknown)}, recording.Options{})
				if err != nil {
					continue // too coarse to be read
				}
				read++
				rs := &set.Remarks
				_, err = set.Tracks[0].Read(rs, func(*recording.Block) error { return nil })
				require.NoError(t, err)
				for _, r := range rs.Sorted() {
					require.NotContains(t, lostCodes, r.Code, "%s rounded to %d bits: %s", path, bits, r)
				}
			}
		}
	}
	require.Greater(t, read, 100)
}

// At rest in coarse steps, for seconds, with a knock now and then.
func TestAKnockOnASensorAtRestLosesNothing(t *testing.T) {
	s := dialects.Swinging(200, 30, 0)
	for i := range s.Len() {
		if t := float64(i) / s.Rate; t < 22 {
			bump := 0.0
			if i%300 < 150 {
				bump = math.Exp(-float64(i%300)/4) * math.Cos(float64(i%300)*2)
			}
			s.Acc[0][i], s.Acc[1][i], s.Acc[2][i] = 20*bump, 0.3+15*bump, 9.81+40*bump
			s.Gyr[0][i], s.Gyr[1][i], s.Gyr[2][i] = 5*bump, -4*bump, 2*bump
		}
	}
	l := linesOf(t, s, dialects.Dialect{Digits: 6})
	for bits := 14; bits >= 8; bits-- {
		got, _ := readLines(t, rounded(l, bits, 0), recording.Options{})
		require.Empty(t, with(got.remarks, "lost samples"), "%d bits", bits)
	}
}
