package filter

// memory is what a section remembers of the last two samples of one channel
// (direct form I: the past inputs and outputs themselves).
type memory struct{ x1, x2, y1, y2 float64 }

// steady returns the memory of the section after an endless constant input x.
func (s Section) steady(x float64) memory {
	y := s.constantGain() * x
	return memory{x, x, y, y}
}

// settle sets the memories of a cascade, one row a section, to the steady state
// for the constant input x in channel ch.
func (s SOS) settle(mem [][maxChannels]memory, ch int, x float64) {
	for i, c := range s {
		mem[i][ch] = c.steady(x)
		x = mem[i][ch].y1
	}
}

// forward filters x into y in the order of time. y may be x.
func (s Section) forward(m *memory, y, x []float64) {
	x1, x2, y1, y2 := m.x1, m.x2, m.y1, m.y2
	y = y[:len(x)]
	for i, v := range x {
		w := (s.B0*v + s.B1*x1 + s.B2*x2 - s.A2*y2) - s.A1*y1
		x2, x1, y2, y1 = x1, v, y1, w
		y[i] = w
	}
	*m = memory{x1, x2, y1, y2}
}

// backward filters x into y against the order of time. y may be x.
func (s Section) backward(m *memory, y, x []float64) {
	x1, x2, y1, y2 := m.x1, m.x2, m.y1, m.y2
	y = y[:len(x)]
	for i := len(x) - 1; i >= 0; i-- {
		v := x[i]
		w := (s.B0*v + s.B1*x1 + s.B2*x2 - s.A2*y2) - s.A1*y1
		x2, x1, y2, y1 = x1, v, y1, w
		y[i] = w
	}
	*m = memory{x1, x2, y1, y2}
}

// forward3 is forward for three channels in lockstep: each sample of a channel
// has to wait for the one before it, and three channels fill the waiting.
func (s Section) forward3(m *[maxChannels]memory, y, x *[maxChannels][]float64) {
	n := len(x[0])
	xa, xb, xc := x[0][:n], x[1][:n], x[2][:n]
	ya, yb, yc := y[0][:n], y[1][:n], y[2][:n]
	a, b, c := m[0], m[1], m[2]
	for i := range n {
		va, vb, vc := xa[i], xb[i], xc[i]
		wa := (s.B0*va + s.B1*a.x1 + s.B2*a.x2 - s.A2*a.y2) - s.A1*a.y1
		wb := (s.B0*vb + s.B1*b.x1 + s.B2*b.x2 - s.A2*b.y2) - s.A1*b.y1
		wc := (s.B0*vc + s.B1*c.x1 + s.B2*c.x2 - s.A2*c.y2) - s.A1*c.y1
		a = memory{va, a.x1, wa, a.y1}
		b = memory{vb, b.x1, wb, b.y1}
		c = memory{vc, c.x1, wc, c.y1}
		ya[i], yb[i], yc[i] = wa, wb, wc
	}
	m[0], m[1], m[2] = a, b, c
}

// backward3 is backward for three channels in lockstep.
func (s Section) backward3(m *[maxChannels]memory, y, x *[maxChannels][]float64) {
	n := len(x[0])
	xa, xb, xc := x[0][:n], x[1][:n], x[2][:n]
	ya, yb, yc := y[0][:n], y[1][:n], y[2][:n]
	a, b, c := m[0], m[1], m[2]
	for i := n - 1; i >= 0; i-- {
		va, vb, vc := xa[i], xb[i], xc[i]
		wa := (s.B0*va + s.B1*a.x1 + s.B2*a.x2 - s.A2*a.y2) - s.A1*a.y1
		wb := (s.B0*vb + s.B1*b.x1 + s.B2*b.x2 - s.A2*b.y2) - s.A1*b.y1
		wc := (s.B0*vc + s.B1*c.x1 + s.B2*c.x2 - s.A2*c.y2) - s.A1*c.y1
		a = memory{va, a.x1, wa, a.y1}
		b = memory{vb, b.x1, wb, b.y1}
		c = memory{vc, c.x1, wc, c.y1}
		ya[i], yb[i], yc[i] = wa, wb, wc
	}
	m[0], m[1], m[2] = a, b, c
}

// run filters channels of x into y through the whole cascade, forwards or
// backwards. y may be x; the slices of one call have equal lengths.
func (s SOS) run(mem [][maxChannels]memory, channels int, back bool, y, x *[maxChannels][]float64) {
	for i := range s {
		s[i].pass(&mem[i], channels, back, y, x)
		x = y
	}
}

// pass runs one section over all channels.
func (s Section) pass(m *[maxChannels]memory, channels int, back bool, y, x *[maxChannels][]float64) {
	switch {
	case channels == maxChannels && back:
		s.backward3(m, y, x)
	case channels == maxChannels:
		s.forward3(m, y, x)
	default:
		for ch := range channels {
			if back {
				s.backward(&m[ch], y[ch], x[ch])
			} else {
				s.forward(&m[ch], y[ch], x[ch])
			}
		}
	}
}
