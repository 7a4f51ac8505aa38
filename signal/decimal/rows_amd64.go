package decimal

import "golang.org/x/sys/cpu"

// able tells whether the processor has what rows is written with: SSSE3 and SSE4.1,
// as processors of this kind have since 2008.
func able() bool { return cpu.X86.HasSSSE3 && cpu.X86.HasSSE41 }

// rows is Rows where b has at least reach bytes and ends at least one place.
func rows(b []byte, cells int, delim, point, eol byte, out []float64, ends []int) int {
	return scanRows(&placing, b, cells, delim, point, eol, out, ends)
}

// scanRows is rows. It is written for the processor, since an hour of running has
// ten million numbers: with it the whole analysis takes a fifth to a quarter less
// time (docs/performance.md).
//
//go:noescape
func scanRows(with *places, b []byte, cells int, delim, point, eol byte, out []float64, ends []int) int

// none stands in the tables of places for a place that nothing is moved to.
const none = 0x80

// places tells how sixteen characters are moved so that the digits of a number
// stand at the right.
type places struct {
	// toRight, from its n-th on, tells for each place which character moves there,
	// so that the first n stand at the right with nothing left of them.
	toRight [32]byte
	// closeUp tells the same for a number at the right with n−1 decimal places:
	// what stands left of its decimal sign moves over it. Its first is for a
	// number without one.
	closeUp [16][16]byte
	// powers divide a number without its decimal sign: the n-th for n−1 decimal
	// places, the first for one that has no decimal sign.
	powers [16]float64
}

var placing = newPlaces()

func newPlaces() (p places) {
	p.powers[0] = 1
	for n := range 16 {
		p.toRight[n], p.toRight[16+n] = none, byte(n)
		if n > 0 {
			p.powers[n] = exactTen[n-1]
		}
		for i := range 16 {
			switch {
			case n == 0 || i > 16-n:
				p.closeUp[n][i] = byte(i)
			case i == 0:
				p.closeUp[n][i] = none
			default:
				p.closeUp[n][i] = byte(i - 1)
			}
		}
	}
	return p
}
