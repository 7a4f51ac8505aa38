package gait

import (
	"setdown/signal/orient"
	"setdown/signal/recording"
)

// pending holds the blocks of a track's first minutes, joined, until it is
// decided how the track is read.
type pending struct {
	acc, gyr [3][]float64
	void     []recording.Void
	owns     bool // acc and gyr are its own, not the blocks'
	// parts are the blocks without their samples; ends are where each ends in the
	// joined signals.
	parts []recording.Block
	ends  []int
}

// add takes a block and copies its samples unless they stay; usual is how many are
// usually needed in all.
func (p *pending) add(b *recording.Block, usual int) {
	if p.void == nil {
		p.void = make([]recording.Void, 0, usual)
	}
	if n := len(p.void); !p.owns && b.Stays && follows(b, p.acc[0]) {
		for k := range 3 {
			p.acc[k], p.gyr[k] = stretch(p.acc[k], b.Acc[k]), stretch(p.gyr[k], b.Gyr[k])
		}
	} else {
		p.own(n, usual)
		for k := range 3 {
			p.acc[k], p.gyr[k] = append(p.acc[k], b.Acc[k]...), append(p.gyr[k], b.Gyr[k]...)
		}
	}
	p.void = append(p.void, b.Void...)
	part := *b
	part.Acc, part.Gyr, part.Void = [3][]float64{}, [3][]float64{}, nil
	p.parts, p.ends = append(p.parts, part), append(p.ends, len(p.void))
}

// follows tells whether a block's samples stand in memory behind those of x.
func follows(b *recording.Block, x []float64) bool {
	n := len(x)
	return n == 0 || b.Len() > 0 && cap(x) > n && &x[:n+1][n] == &b.Acc[0][0]
}

// stretch returns x with more, which stands behind it in memory.
func stretch(x, more []float64) []float64 {
	if len(x) == 0 {
		return more
	}
	return x[:len(x)+len(more)]
}

// own moves the n samples held so far into memory of its own.
func (p *pending) own(n, usual int) {
	if p.owns {
		return
	}
	p.owns = true
	for k := range 3 {
		p.acc[k] = append(make([]float64, 0, max(n, usual)), p.acc[k]...)
		p.gyr[k] = append(make([]float64, 0, max(n, usual)), p.gyr[k]...)
	}
}

// block returns block i as it was added; it shares the joined signals.
func (p *pending) block(i int) recording.Block {
	from := 0
	if i > 0 {
		from = p.ends[i-1]
	}
	to := p.ends[i]
	b := p.parts[i]
	for k := range 3 {
		b.Acc[k], b.Gyr[k] = p.acc[k][from:to], p.gyr[k][from:to]
	}
	b.Void = p.void[from:to]
	return b
}

// end is when the last block ends, s.
func (p *pending) end(rate float64) float64 {
	last := p.block(len(p.parts) - 1)
	return last.Start + float64(last.First+last.Len())/rate
}

// split cuts a block after n samples; both parts share its samples.
func split(b *recording.Block, n int) (part, rest recording.Block) {
	part, rest = *b, *b
	for k := range 3 {
		part.Acc[k], rest.Acc[k] = b.Acc[k][:n], b.Acc[k][n:]
		part.Gyr[k], rest.Gyr[k] = b.Gyr[k][:n], b.Gyr[k][n:]
	}
	part.Void, rest.Void = b.Void[:n], b.Void[n:]
	rest.First += n
	part.Last = b.Last && rest.Len() == 0
	return part, rest
}

// replay hands the blocks out again, in order.
func (p *pending) replay(use func(*recording.Block)) {
	for i := range p.parts {
		b := p.block(i)
		use(&b)
	}
}

// turn turns the joined signals into segment axes, in place.
func (p *pending) turn(a orient.Alignment) { a.Turn(p.acc, p.gyr, p.acc, p.gyr) }
