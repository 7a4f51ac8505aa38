package gait

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/recording"
)

type score struct {
	ic, ff, to, ttff, peak, ffr, angle, dec, ct []float64
	pairs, missed, extra                        int
	withheld                                    int
}

func scoreRun(s simulate.Settings, sc *score) *Result {
	rec := simulate.Run(s)
	var src []recording.Source
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		var b bytes.Buffer
		if err := rec.WriteCSV(&b, side, recording.Foot, simulate.Everyday); err != nil {
			panic(err)
		}
		src = append(src, recording.Bytes(simulate.FileName(side, recording.Foot), b.Bytes(), side))
	}
	set, err := recording.Open(context.Background(), src, recording.Options{})
	if err != nil {
		fmt.Println("   error", err)
		return nil
	}
	res, err := Analyze(context.Background(), set, Settings{})
	if err != nil {
		fmt.Println("   error", err)
		return nil
	}
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		var rt, dt []float64
		var rs []simulate.Step
		var ds []step.Step
		for _, x := range rec.Steps() {
			if x.Side == side {
				rt, rs = append(rt, x.InitialContact), append(rs, x)
			}
		}
		for _, x := range res.Steps {
			if x.Side == side {
				dt, ds = append(dt, x.InitialContact), append(ds, x)
			}
		}
		m := event.Match(rt, dt, 0.1)
		sc.pairs += len(m.Pairs)
		sc.missed += len(m.Missed)
		sc.extra += len(m.Extra)
		for _, p := range m.Pairs {
			a, b := rs[p[0]], ds[p[1]]
			if !b.Used {
				continue
			}
			add := func(v *[]float64, x float64) {
				if !math.IsNaN(x) {
					*v = append(*v, x)
				}
			}
			add(&sc.ic, 1e3*(b.InitialContact-a.InitialContact))
			add(&sc.ff, 1e3*(b.FootFlat-a.FootFlat))
			add(&sc.to, 1e3*(b.ToeOff-a.ToeOff))
			add(&sc.ttff, 1e3*(b.TimeToFootFlat-a.TimeToFootFlat))
			add(&sc.peak, 100*(b.PeakLoweringRate/a.PeakLoweringRate-1))
			add(&sc.ffr, 57.3*(b.FootFlatRate-a.FootFlatRate))
			add(&sc.angle, 57.3*(b.StrikeAngle-a.StrikeAngle))
			add(&sc.dec, b.DecelerationFraction-a.DecelerationFraction)
		}
	}
	return res
}

func (s *score) String() string {
	f := func(v []float64) string {
		if len(v) == 0 {
			return "-"
		}
		return fmt.Sprintf("%.1f±%.1f(%.1f)", estimate.Mean(v), estimate.SD(v), estimate.Median(v))
	}
	return fmt.Sprintf("n %d miss %d extra %d | IC %s FF %s TO %s TTFF %s peak%% %s ffr %s ang %s", s.pairs, s.missed, s.extra, f(s.ic), f(s.ff), f(s.to), f(s.ttff), f(s.peak), f(s.ffr), f(s.angle))
}

func TestSim(t *testing.T) {
	if os.Getenv("NRAND") == "" {
		for _, g := range []event.Gait{event.Running, event.Walking} {
			for _, rate := range []float64{100, 200, 500, 1000} {
				for _, gain := range []float64{1, 0.25, 0} {
					s := simulate.Defaults(g)
					s.Duration = 40
					s.Left.Foot.Rate, s.Right.Foot.Rate = rate, rate
					s.Left.Gain, s.Right.Gain = gain, gain
					var sc score
					scoreRun(s, &sc)
					fmt.Println(g, rate, gain, &sc)
				}
			}
			for _, ang := range []float64{4, 8, 20, 0, -6} {
				s := simulate.Defaults(g)
				s.Duration = 40
				s.Left.StrikeAngle, s.Right.StrikeAngle = ang/57.3, ang/57.3
				var sc score
				scoreRun(s, &sc)
				fmt.Println(g, "angle", ang, &sc)
			}
		}
	}
	var pooled = map[string]*score{}
	n, _ := strconv.Atoi(os.Getenv("NRAND"))
	for i := range n {
		s := simulate.Draw(uint64(1000 + i))
		s.Duration = 40
		var sc score
		scoreRun(s, &sc)
		k := "hi"
		if s.Left.Foot.Rate < 200 {
			k = "lo"
		}
		for _, key := range []string{k, k + s.Gait.String()} {
			if pooled[key] == nil {
				pooled[key] = &score{}
			}
			p := pooled[key]
			p.ic = append(p.ic, sc.ic...)
			p.ff = append(p.ff, sc.ff...)
			p.to = append(p.to, sc.to...)
			p.ttff = append(p.ttff, sc.ttff...)
			p.peak = append(p.peak, sc.peak...)
			p.ffr = append(p.ffr, sc.ffr...)
			p.angle = append(p.angle, sc.angle...)
			p.pairs += sc.pairs
			p.missed += sc.missed
			p.extra += sc.extra
		}
		fmt.Printf("%d %s rate %.0f bw %.0f cad %.0f ang %.0f/%.0f gain %.1f/%.1f %s\n", i, s.Gait, s.Left.Foot.Rate, s.Left.Foot.Bandwidth, s.Cadence, s.Left.StrikeAngle*57.3, s.Right.StrikeAngle*57.3, s.Left.Gain, s.Right.Gain, &sc)
	}
	for _, k := range []string{"hi", "hirunning", "hiwalking", "lo", "lorunning", "lowalking"} {
		if pooled[k] != nil {
			fmt.Println("POOL", k, pooled[k])
		}
	}
}
