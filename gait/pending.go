package gait

import "setdown/signal/recording"

// pending holds the blocks of a track's first minutes, joined, until it is
// decided how the track is read.
type pending struct {
	acc, gyr [3][]float64
	void     []recording.Void
	// parts are the blocks without their samples; ends are where each ends in the
	// joined signals.
	parts []recording.Block
	ends  []int
}

// add copies a block; usual is how many samples are usually needed in all.
func (p *pending) add(b *recording.Block, usual int) {
	if p.void == nil {
		for k := range 3 {
			p.acc[k], p.gyr[k] = make([]float64, 0, usual), make([]float64, 0, usual)
		}
		p.void = make([]recording.Void, 0, usual)
	}
	for k := range 3 {
		p.acc[k] = append(p.acc[k], b.Acc[k]...)
		p.gyr[k] = append(p.gyr[k], b.Gyr[k]...)
	}
	p.void = append(p.void, b.Void...)
	part := *b
	part.Acc, part.Gyr, part.Void = [3][]float64{}, [3][]float64{}, nil
	p.parts, p.ends = append(p.parts, part), append(p.ends, len(p.void))
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
