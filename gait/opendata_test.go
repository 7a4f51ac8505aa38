package gait

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/remark"
)

// openData returns the folder of the open recordings, or skips.
func openData(t testing.TB) string {
	dir := filepath.Join("..", "..", "shared", "data")
	if _, err := os.Stat(dir); err != nil {
		if os.Getenv("SETDOWN_DATA") == "required" {
			t.Fatal("the open recordings are missing: ", dir)
		}
		t.Skip("the open recordings are not here: ", dir)
	}
	return dir
}

// quickTrack loads t,ax..gz and resamples linearly; replaced by recording.Open.
func quickTrack(t testing.TB, path string, side recording.Side, site recording.Site) *recording.Track {
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	rows = rows[1:]
	var x [7][]float64
	for _, r := range rows {
		for k := range 7 {
			v, err := strconv.ParseFloat(r[k], 64)
			require.NoError(t, err)
			x[k] = append(x[k], v)
		}
	}
	n := len(rows)
	d := make([]float64, 0, n)
	for i := 1; i < n; i++ {
		d = append(d, x[0][i]-x[0][i-1])
	}
	med := (x[0][n-1] - x[0][0]) / float64(n-1)
	cnt := 0
	for _, v := range d {
		if v < 1.5*med {
			cnt++
		}
	}
	sum := 0.0
	for _, v := range d {
		if v < 1.5*med {
			sum += v
		}
	}
	rate := math.Round(float64(cnt)/sum*100) / 100
	var blocks []*recording.Block
	span := 0
	for i := 0; i < n; {
		j := i + 1
		for j < n && x[0][j]-x[0][j-1] < 0.15 {
			j++
		}
		if j-i > 20 {
			b := &recording.Block{Span: span, Start: x[0][i], Last: true}
			m := int((x[0][j-1] - x[0][i]) * rate)
			k := i
			for s := 0; s <= m; s++ {
				tt := x[0][i] + float64(s)/rate
				for k+1 < j-1 && x[0][k+1] < tt {
					k++
				}
				f := (tt - x[0][k]) / (x[0][k+1] - x[0][k])
				for c := range 3 {
					b.Acc[c] = append(b.Acc[c], x[1+c][k]*(1-f)+x[1+c][k+1]*f)
					b.Gyr[c] = append(b.Gyr[c], x[4+c][k]*(1-f)+x[4+c][k+1]*f)
				}
				v := recording.Void(0)
				if x[0][k+1]-x[0][k] > 1.5/rate {
					v = recording.VoidAcc | recording.VoidGyr
				}
				b.Void = append(b.Void, v)
			}
			blocks = append(blocks, b)
			span++
		}
		i = j
	}
	meta := recording.Track{Label: filepath.Base(path), Side: side, Site: site, Rate: rate, HasAcc: true, HasGyr: true, AccAxes: 3, Clock: "x"}
	return recording.NewTrack(meta, func(_ *remark.List, yield func(*recording.Block) error) (recording.Summary, error) {
		for _, b := range blocks {
			if err := yield(b); err != nil {
				return recording.Summary{}, err
			}
		}
		return recording.Summary{Samples: n, Begin: x[0][0], End: x[0][n-1], Spans: span}, nil
	})
}
