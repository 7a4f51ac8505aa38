package recording_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"setdown/signal/recording/dialects"
)

// Bytes that change at random hardly ever leave a table whole. Cells and lines that
// change do, and reach what is behind the reading of lines: stamps, holes, the grid.
func TestHarmedTablesAreReadSoundly(t *testing.T) {
	n := 2_000
	if testing.Short() {
		n = 300
	}
	if os.Getenv("SETDOWN_LONG") != "" {
		n = 100_000
	}
	var files [][]byte
	for _, rate := range []float64{100, 200, 300} {
		s := dialects.Swinging(rate, 2.5, 0)
		for _, d := range dialects.Table() {
			files = append(files, bytesOf(t, d.Sources(s, s)[0]))
		}
	}
	for seed := range n {
		r := rand.New(rand.NewPCG(7, uint64(seed)))
		data := harmed(r, files[r.IntN(len(files))])
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) { readsSoundly(t, data) })
	}
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
