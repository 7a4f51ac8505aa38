package figure

import (
	"fmt"
	"math"
	"strings"
)

// ReviewOverlay is one session's mean lowering of both sides, in deg/s.
type ReviewOverlay struct {
	Label string
	// Left and Right are sampled every StepMS ms from StartMS ms; nil where absent.
	Left, Right []float64
}

// Overlays draws the lowering of each session as small pictures on equal axes;
// ok is false when no session has curves.
func Overlays(all []ReviewOverlay, startMS, stepMS float64, prefix string) (f Figure, ok bool) {
	top, low, n := 0.0, 0.0, 0
	for _, o := range all {
		n = max(n, len(o.Left), len(o.Right))
		for _, c := range [][]float64{o.Left, o.Right} {
			for _, v := range c {
				top, low = math.Max(top, v), math.Min(low, v)
			}
		}
	}
	if n == 0 {
		return Figure{}, false
	}
	x, y := span{startMS, startMS + stepMS*float64(n-1)}, around(low, top, 0.05)
	f = Figure{Key: "overlays", Title: "Lowering, session by session",
		Caption: "Toe-down rate of the foot round heel contact (0 ms), mean of the used steps, all on the same scale, deg/s. Left solid, right broken.",
		Alt:     overlayAlt(all)}
	rows := (len(all) + overlayColumns - 1) / overlayColumns
	return f.tiles(prefix, all, rows, x, y, startMS, stepMS), true
}

func overlayAlt(all []ReviewOverlay) string {
	var parts []string
	for _, o := range all {
		part := o.Label
		for _, s := range []struct {
			name string
			ys   []float64
		}{{"left", o.Left}, {"right", o.Right}} {
			if len(s.ys) > 0 {
				most := 0.0
				for _, v := range s.ys {
					most = math.Max(most, v)
				}
				part += fmt.Sprintf(", %s at most %.0f deg/s", s.name, most)
			}
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, "; ") + "."
}

// overlayColumns is how many small pictures stand in a row, overlayHeight how
// high a row is.
const (
	overlayColumns = 3
	overlayHeight  = 96
)
