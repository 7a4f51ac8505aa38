package recording_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// Bytes that change at random hardly ever leave a table whole. Cells and lines that
// change do, and reach what is behind the reading of lines: stamps, holes, the grid.
func TestHarmedTablesAreReadSoundly(t *testing.T) {
	kinds := dialects.Table()
	for seed := range harmedSets() {
		r := rand.New(rand.NewPCG(7, uint64(seed)))
		s := dialects.Swinging(float64(100*(1+r.IntN(3))), 2.5, 0)
		data := harmed(r, bytesOf(t, kinds[r.IntN(len(kinds))].Sources(s, s)[0]))
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) { readsSoundly(t, data) })
	}
}

// All files of a recording together, some of them harmed: sensors in files of their own
// are joined, feet set beside each other. What opening kept, the first reading, is what
// stands in the files, the second.
func TestHarmedFilesAreReadTogetherSoundly(t *testing.T) {
	kinds := dialects.Table()
	for seed := range harmedSets() {
		r := rand.New(rand.NewPCG(8, uint64(seed)))
		rate := float64(100 * (1 + r.IntN(3)))
		sources := kinds[r.IntN(len(kinds))].Sources(dialects.Swinging(rate, 2.5, 0), dialects.Swinging(rate, 2.5, 0.5))
		for i, s := range sources {
			if data := bytesOf(t, s); r.IntN(2) == 0 {
				sources[i] = recording.Bytes(s.Name, harmed(r, data), s.Side)
			}
		}
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			set, err := recording.Open(t.Context(), sources, recording.Options{})
			if err != nil {
				var e *recording.Error
				require.ErrorAs(t, err, &e)
				return
			}
			for _, k := range set.Tracks {
				sameTwice(t, k)
			}
		})
	}
}

// sameTwice reads a track twice and wants the same samples, each a number.
func sameTwice(t *testing.T, k *recording.Track) {
	first, err := samplesOf(k)
	second, again := samplesOf(k)
	require.Equal(t, err, again)
	require.True(t, slices.Equal(first, second), "%s: the second reading differs", k.Label)
	for _, g := range first {
		for _, v := range append(g.v[:], g.t) {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%s at %g s", k.Label, g.t)
		}
	}
}

// harmedSets is how many recordings are harmed.
func harmedSets() int {
	switch {
	case os.Getenv("SETDOWN_LONG") != "":
		return 30_000
	case testing.Short():
		return 300
	}
	return 1_000
}

// harmed changes some cells and lines of a table.
func harmed(r *rand.Rand, data []byte) []byte {
	lines := bytes.SplitAfter(bytes.Clone(data), []byte("\n"))
	for range 1 + r.IntN(6) {
		if len(lines) == 0 {
			break
		}
		at := r.IntN(len(lines))
		times := 1
		if r.IntN(3) == 0 {
			times = 1 + r.IntN(40)
		}
		how, every := r.IntN(8), 1+r.IntN(3)
		column, text := r.IntN(9), oddCells[r.IntN(len(oddCells))]
		for k := at; k < len(lines) && k < at+times*every; k += every {
			lines = harmLine(lines, k, how, column, text)
		}
	}
	return bytes.Join(lines, nil)
}

// oddCells are what stands in cells that hold no measurement, or a strange one.
var oddCells = []string{"", "NaN", "inf", "0", "-0", "1e308", "-1.7e308", "1e-320", "99999", "-9999", "1e19", "x", "65535", "0.5", "-1", "1e6", "\"\"", "2024-01-01"}

// harmLine changes line k in one of eight ways.
func harmLine(lines [][]byte, k, how, column int, text string) [][]byte {
	switch how {
	case 0:
		return append(lines[:k], lines[k+1:]...)
	case 1:
		lines[k] = append(bytes.Clone(lines[k]), lines[k]...)
	case 2:
		lines[k], lines[len(lines)-1-k] = lines[len(lines)-1-k], lines[k]
	case 3:
		if k > 0 {
			lines[k] = withCell(lines[k], 0, cell(lines[k-1], 0))
		}
	case 4:
		if k > 0 {
			lines[k] = lines[k-1]
		}
	case 5:
		lines[k] = lines[k][:len(lines[k])/2]
	default:
		lines[k] = withCell(lines[k], column, []byte(text))
	}
	return lines
}

// separators part the cells of a table.
const separators = ",;\t"

// cell is a cell of a line; the last where there are fewer.
func cell(line []byte, column int) []byte {
	cells := bytes.FieldsFunc(line, func(r rune) bool { return bytes.ContainsRune([]byte(separators), r) })
	if len(cells) == 0 {
		return nil
	}
	return cells[min(column, len(cells)-1)]
}

// withCell puts text in the place of a cell.
func withCell(line []byte, column int, text []byte) []byte {
	old := cell(line, column)
	if old == nil {
		return line
	}
	return bytes.Replace(line, bytes.TrimRight(old, "\r\n"), text, 1)
}
