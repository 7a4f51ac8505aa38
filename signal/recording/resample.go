package recording

// work makes all grid samples that the ready rows allow, then forgets the rows
// that are no longer needed.
func (g *gridder) work(end bool) error {
	if !g.w.open {
		g.w.begin(g.start, g.line[0])
	}
	limit := g.ready - 3 // a clipped run is known two rows later
	if end {
		limit = g.ready
	}
	for g.k+1 < limit {
		if n := g.straight(limit); n > 0 {
			if err := g.copyRows(n); err != nil {
				return err
			}
			continue
		}
		if err := g.between(g.k); err != nil {
			return err
		}
		g.k++
	}
	if end && limit > 0 && g.x[limit-1] >= float64(g.next)-evenWithin {
		if err := g.copyRow(limit - 1); err != nil {
			return err
		}
	}
	g.forget()
	return nil
}

// straight counts the rows from k on, before limit, that are the next samples as
// they stand, one each: what between does row by row.
func (g *gridder) straight(limit int) int {
	k := g.k
	for at := float64(g.next); k+1 < limit; k++ {
		a, b := g.x[k], g.x[k+1]-evenWithin
		if !(at < b) || at-a >= evenWithin || at+1 < b {
			break
		}
		at++
	}
	return k - g.k
}

// copyRows takes the next n rows as samples, as they stand.
func (g *gridder) copyRows(n int) error {
	for n > 0 {
		from, m := g.w.slots(n)
		copy(g.w.void[from:from+m], g.void[g.k:g.k+m])
		for _, c := range g.chans {
			copy(g.w.v[c][from:from+m], g.v[c][g.k:g.k+m])
		}
		n -= m
		g.k += m
		g.next += m
	}
	return g.w.full()
}

// between makes the samples that stand at or after row k and before row k+1.
func (g *gridder) between(k int) error {
	a, b := g.x[k], g.x[k+1]
	for float64(g.next) < b-evenWithin {
		at := float64(g.next)
		if at-a < evenWithin {
			if err := g.copyRow(k); err != nil {
				return err
			}
			continue
		}
		if err := g.interpolate(k, at); err != nil {
			return err
		}
	}
	return nil
}

// copyRow takes row k as the next sample, as it stands.
func (g *gridder) copyRow(k int) error {
	s := g.w.slot(g.void[k])
	for _, c := range g.chans {
		g.w.v[c][s] = g.v[c][k]
	}
	g.next++
	return g.w.full()
}

// interpolate makes the sample at grid place at, between rows k and k+1: a cubic
// through four rows, or a line beside a hole or where stamps nearly coincide.
func (g *gridder) interpolate(k int, at float64) error {
	x := g.x
	void := g.void[k] | g.void[k+1]
	wide := g.f.stamps.hole * g.f.stamps.rate
	if g.f.stamps.packets {
		wide = gapPeriods
	}
	if x[k+1]-x[k] > wide {
		void |= VoidAcc | VoidGyr
	}
	var w [4]float64
	cubic := k > 0 && k+2 < g.ready && lagrange(&w, x[k-1:k+3], at, wide)
	s := g.w.slot(void)
	u := (at - x[k]) / (x[k+1] - x[k])
	for _, c := range g.chans {
		v := g.v[c]
		if cubic {
			g.w.v[c][s] = w[0]*v[k-1] + w[1]*v[k] + w[2]*v[k+1] + w[3]*v[k+2]
		} else {
			g.w.v[c][s] = v[k] + u*(v[k+1]-v[k])
		}
	}
	g.next++
	return g.w.full()
}

// lagrange sets the weights of the cubic through the four places x at the place
// at. False when the places are too uneven for a cubic: two of them nearer than
// a quarter of a period, or further apart than wide periods.
func lagrange(w *[4]float64, x []float64, at, wide float64) bool {
	for i := range 3 {
		if d := x[i+1] - x[i]; d < 0.25 || d > wide {
			return false
		}
	}
	for i := range 4 {
		p := 1.0
		for j := range 4 {
			if j != i {
				p *= (at - x[j]) / (x[i] - x[j])
			}
		}
		w[i] = p
	}
	return true
}

// forget moves the rows that are still needed to the front.
func (g *gridder) forget() {
	drop := g.k - 2
	for _, from := range g.lackFrom {
		if from >= 0 {
			drop = min(drop, from-1)
		}
	}
	if drop <= 0 {
		return
	}
	shift := func(s []float64) []float64 { return s[:copy(s, s[drop:])] }
	g.t, g.x = shift(g.t), shift(g.x)
	for _, c := range g.chans {
		g.v[c] = shift(g.v[c])
	}
	g.void = g.void[:copy(g.void, g.void[drop:])]
	g.line = g.line[:copy(g.line, g.line[drop:])]
	g.k -= drop
	g.ready -= drop
	g.fit.shift(drop)
	for s := range g.lackFrom {
		if g.lackFrom[s] >= 0 {
			g.lackFrom[s] -= drop
		}
	}
}
