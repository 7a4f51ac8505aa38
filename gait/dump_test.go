package gait

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/signal/orient"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// dump writes windows in the foot frame for plotting.
func dump(t *testing.T, tr *recording.Track, name string) {
	var acc, gyr [3][]float64
	var blocks []*recording.Block
	_, err := tr.Read(&remark.List{}, func(b *recording.Block) error {
		c := cloneBlock(b)
		blocks = append(blocks, c)
		for k := range 3 {
			acc[k] = append(acc[k], b.Acc[k]...)
			gyr[k] = append(gyr[k], b.Gyr[k]...)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	a, err := orient.Align(orient.FootPart, tr.Rate, acc, gyr)
	if err != nil {
		t.Fatal(name, err)
	}
	var pr []float64
	for i := range gyr[0] {
		pr = append(pr, a.ToSegment.Apply([3]float64{gyr[0][i], gyr[1][i], gyr[2][i]})[1])
	}
	f, _ := os.Create("/tmp/x/" + name + ".csv")
	defer f.Close()
	n := 0
	d := event.NewDetector(a, tr.Rate, event.MeasureSwings(tr.Rate, pr), func(w *event.Window) {
		c := event.Find(w, event.DefaultLandings(), nil)
		for i := range w.Void {
			fmt.Fprintf(f, "%d,%.5f,%.4f,%.4f,%.4f,%.4f,%.4f,%.4f,%.5f,%.5f,%.5f,%.5f,%.4f\n", n, w.Time(float64(i)), w.Acc[0][i], w.Acc[1][i], w.Acc[2][i], w.Gyr[0][i], w.Gyr[1][i], w.Gyr[2][i], w.Time(c.IC), w.Time(c.FF), w.Time(c.TO), w.Time(float64(c.Flat)), c.Pitch[i])
		}
		n++
	})
	for _, b := range blocks {
		d.Push(b)
	}
	d.Flush()
}

func TestDump(t *testing.T) {
	dir := openData(t)
	for _, n := range []string{"preferred", "slow"} {
		for _, s := range []string{"left", "right"} {
			dump(t, quickTrack(t, filepath.Join(dir, "treadmill-walk-feet-shins", n, s+"_foot.csv"), recording.Left, recording.Foot), "trip_"+n+"_"+s)
		}
	}
	for _, n := range []string{"1-1", "10-2", "15-1", "2-1"} {
		dump(t, quickTrack(t, filepath.Join(dir, "corridor-walk-feet-back", n, "left_foot.csv"), recording.Left, recording.Foot), "corr_"+n)
	}
	for _, n := range []string{"a", "b"} {
		dump(t, quickTrack(t, filepath.Join(dir, "run-one-foot", n, "foot.csv"), recording.Left, recording.Foot), "run_"+n)
	}
	for _, g := range []event.Gait{event.Running, event.Walking} {
		for _, gain := range []float64{1, 0} {
			s := simulate.Defaults(g)
			s.Duration = 40
			s.Left.Gain = gain
			rec := simulate.Run(s)
			nm := fmt.Sprintf("sim_%s_%.0f", g, gain)
			dump(t, rec.Track(recording.Left, recording.Foot), nm)
			f, _ := os.Create("/tmp/x/" + nm + "_truth.csv")
			for _, x := range rec.Steps() {
				if x.Side == recording.Left {
					fmt.Fprintf(f, "%.5f,%.5f,%.5f\n", x.InitialContact, x.FootFlat, x.ToeOff)
				}
			}
			f.Close()
		}
	}
	_ = context.Background
}
