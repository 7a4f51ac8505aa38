package recording

// mend fills the channels of a sensor whose cells are missing: a line between
// the sound rows on both sides, or beyond BridgeSeconds the last sound value.
// Either way the rows stay marked void.
func (g *gridder) mend(r *row) {
	for s, bit := range [2]Void{VoidAcc, VoidGyr} {
		n := len(g.t)
		switch from := g.lackFrom[s]; {
		case r.missing&bit != 0 && n == 0:
			// Nothing sound before: hold 0 until the first sound row.
			g.hold(r, s)
		case r.missing&bit != 0:
			if from < 0 && !g.lacking[s] {
				g.lackFrom[s] = n
			} else if from >= 0 && r.t-g.t[from] > BridgeSeconds {
				g.lackFrom[s] = -1
			}
			g.lacking[s] = true
			g.hold(r, s)
			continue
		case from >= 0:
			g.fill(r, s, from)
			g.lackFrom[s] = -1
		}
		g.lacking[s] = false
	}
}

// hold puts the last value of a sensor into a row that lacks it.
func (g *gridder) hold(r *row, sensor int) {
	for c := 3 * sensor; c < 3*sensor+3; c++ {
		if r.v[c] = 0; g.f.col[c] >= 0 && len(g.v[c]) > 0 {
			r.v[c] = g.v[c][len(g.v[c])-1]
		}
	}
}

// fill interpolates the rows of a sensor from index from up to the sound row r, which
// comes next.
func (g *gridder) fill(r *row, sensor, from int) {
	for c := 3 * sensor; c < 3*sensor+3; c++ {
		if g.f.col[c] < 0 || from == 0 {
			continue
		}
		a := g.v[c][from-1]
		for i := from; i < len(g.t); i++ {
			g.v[c][i] = a + (r.v[c]-a)*g.part(from-1, i, r.t)
		}
	}
}

// part is where row i stands on the way from row a, before it, to the row that comes
// next, with the stamp next, s: 0 for the one and 1 for the other. Where stamps are
// shared or not in order rows are evenly spaced.
func (g *gridder) part(a, i int, next float64) float64 {
	if p := &g.f.stamps; p.packets || p.shaken {
		return float64(i-a) / float64(len(g.t)-a)
	}
	return (g.t[i] - g.t[a]) / (next - g.t[a])
}
