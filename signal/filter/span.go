package filter

// ZeroPhaseSpan filters whole spans with zero phase, one slice a channel, 1 to
// 3 channels in lockstep, and returns exactly, to the bit, what a Stream gives
// for them. dst is nil, to be allocated, or has the shape of x; dst[i] may be
// x[i]. The errors are those of Flush; dst is then of no use. It panics if the
// shapes differ.
func ZeroPhaseSpan(dst [][]float64, s SOS, x ...[]float64) ([][]float64, error) {
	st := NewStream(s, len(x))
	if dst == nil {
		dst = make([][]float64, len(x))
		for ch := range x {
			dst[ch] = make([]float64, len(x[ch]))
		}
	}
	checkShape(dst, x)
	n := len(x[0])
	block := make([][]float64, len(x))
	for from := 0; from < n; from += st.segment {
		for ch := range x {
			block[ch] = x[ch][from:min(from+st.segment, n)]
		}
		at := st.emitted
		put(dst, at, st.Push(block...))
	}
	at := st.emitted
	out, err := st.Flush()
	put(dst, at, out)
	return dst, err
}

// checkShape panics unless dst and x are channels of one and the same length.
func checkShape(dst, x [][]float64) {
	if len(dst) != len(x) {
		panic("filter: number of channels of dst differs from x")
	}
	for ch := range x {
		if len(x[ch]) != len(x[0]) || len(dst[ch]) != len(x[0]) {
			panic("filter: channels of different length")
		}
	}
}

// put copies out into dst from sample at on.
func put(dst [][]float64, at int, out [][]float64) {
	for ch := range out {
		copy(dst[ch][at:], out[ch])
	}
}
