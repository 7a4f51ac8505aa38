package decimal_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/decimal"
)

// table is how the numbers of a text are set out.
type table struct {
	cells             int
	delim, point, eol byte
}

// lineByLine reads what Rows may read as Rows says that it does, with Scan.
func (f table) lineByLine(b []byte, most int) (out []float64, ends []int) {
	i := 0
	for len(ends) < most {
		row := make([]float64, f.cells)
		for c := range row {
			v, end, ok := decimal.Scan(b, i, f.point)
			if !ok || b[i] == '+' || end-i > 15 || end >= len(b) {
				return out, ends
			}
			row[c], i = v, end
			if c < f.cells-1 {
				if b[i] != f.delim {
					return out, ends
				}
				i++
			}
		}
		if b[i] == '\r' && f.eol != '\r' {
			i++
		}
		if i >= len(b) || b[i] != f.eol {
			return out, ends
		}
		i++
		out, ends = append(out, row...), append(ends, i)
	}
	return out, ends
}

// read reads with Rows into room for most rows.
func (f table) read(b []byte, most int) (out []float64, ends []int) {
	out, ends = make([]float64, most*f.cells), make([]int, most)
	n := decimal.Rows(b, f.cells, f.delim, f.point, f.eol, out, ends)
	return out[:n*f.cells], ends[:n]
}

// requireSame checks that Rows reads what Scan reads, and no line less than it
// must: it may stop reach bytes before the end, and where two numbers are parted
// by what is also the decimal sign.
func (f table) requireSame(t *testing.T, b []byte, most int) {
	t.Helper()
	want, wantEnds := f.lineByLine(b, most)
	out, ends := f.read(b, most)
	require.LessOrEqual(t, len(ends), len(wantEnds), "%q", b)
	require.True(t, slices.Equal(wantEnds[:len(ends)], ends), "lines end at %v, read were %v of %q", wantEnds, ends, b)
	for i := range out {
		if math.Float64bits(want[i]) != math.Float64bits(out[i]) {
			require.Equal(t, want[i], out[i], "number %d of %q", i, b)
		}
	}
	if len(ends) < len(wantEnds) && decimal.Able() && f.delim != f.point {
		require.Greater(t, wantEnds[len(ends)], len(b)-decimal.Reach, "a line well before the end was not read: %q", b)
	}
}

// forms are numbers of every length that a table may hold, and much that is none.
var forms = []string{
	"0", "-0", "5", "-7", "42", "-12.5", ".5", "5.", "-.5", "-5.", "0.00195312", "-0.0610352", "123456789012345", "12345678901234.5", "-1234567890123.",
	"1234567890123456", "12345678901234.56", "-123456789012345", "-123456789012.34", "999999999999999", "0.0000000000001", ".00000000000001",
	"", "-", ".", "-.", "--1", "1-", "1.2.3", "..1", "1..", "+1", "+.5", "1e5", "1E5", "e", "1e", " 1", "1 ", "nan", "NaN", "inf", "x", "0x10", "1_000", "\u22121", "1,5", "1;5",
	"9007199254740992", "9007199254740993", "8.5e-1", "4.9e-324", "0.30000000000000004", "3.7455744005952583e+15", "/", ":", "1/", "1:2", "\x00", "\xff", "1\r", "\r", "1\r\r",
}

func tables() []table {
	return []table{
		{3, ',', '.', '\n'}, {1, ',', '.', '\n'}, {3, ';', ',', '\n'}, {2, '\t', '.', '\n'}, {2, ',', ',', '\n'}, {2, ';', '.', '\r'}, {7, '|', '.', '\n'}, {2, '.', '.', '\n'},
	}
}

func TestRowsReadWhatScanReads(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	n := 60_000
	if testing.Short() {
		n = 6_000
	}
	rows := 0
	for range n {
		f := tables()[r.IntN(len(tables()))]
		var b bytes.Buffer
		odd := 1 + r.IntN(60)
		for range r.IntN(12) {
			for c := range f.cells {
				if c > 0 {
					b.WriteByte(f.delim)
				}
				if r.IntN(odd) == 0 {
					b.WriteString(forms[r.IntN(len(forms))])
					continue
				}
				s := strconv.FormatFloat((r.Float64()-0.5)*math.Pow10(r.IntN(7)), 'f', r.IntN(7), 64)
				b.WriteString(strings.Replace(s, ".", string(f.point), 1))
			}
			if r.IntN(4) == 0 {
				b.WriteByte('\r')
			}
			b.WriteByte(f.eol)
		}
		f.requireSame(t, b.Bytes(), 1+r.IntN(12))
		_, ends := f.read(b.Bytes(), 12)
		rows += len(ends)
	}
	if decimal.Able() {
		require.Greater(t, rows, n, "so few rows were read that this tells nothing")
	}
}

// Every form alone in every place of a row, so that each stops what it must stop.
func TestRowsStopBeforeWhatIsNoNumber(t *testing.T) {
	for _, f := range tables() {
		for _, form := range forms {
			for c := range f.cells {
				row := strings.Repeat("1"+string(f.delim), f.cells-1) + "1" + string(f.eol)
				odd := strings.Repeat("1"+string(f.delim), c) + form + strings.Repeat(string(f.delim)+"1", f.cells-1-c) + string(f.eol)
				f.requireSame(t, []byte(row+odd+strings.Repeat(row, 20)), 30)
			}
		}
	}
}

// However a text is cut, Rows reads the same lines of it and stops only where it says.
func TestRowsOfAnyPartOfAText(t *testing.T) {
	f := table{4, ',', '.', '\n'}
	var b bytes.Buffer
	for i := range 20 {
		fmt.Fprintf(&b, "%d.%03d,%g,-%d,%d\r\n", i, i*7, float64(i)/16-0.5, i, i*i*i)
	}
	text := b.Bytes()
	for from := range text {
		for to := from; to <= len(text); to++ {
			f.requireSame(t, text[from:to:to], 25)
		}
	}
}

func TestRowsNeedRoom(t *testing.T) {
	require.Panics(t, func() { decimal.Rows(nil, 2, ',', '.', '\n', make([]float64, 3), make([]int, 2)) })
	require.Panics(t, func() { decimal.Rows(nil, 0, ',', '.', '\n', nil, nil) })
	require.Zero(t, decimal.Rows([]byte(strings.Repeat("1\n", 30)), 1, ',', '.', '\n', nil, nil))
}

// FuzzRows: whatever the bytes, Rows reads what Scan reads line by line.
func FuzzRows(f *testing.F) {
	for _, form := range forms {
		f.Add([]byte("1,2\n"+form+",4\r\n5,"+form+"\n7,8\n9,10\n11,12\n13,14\n"), uint8(0), uint8(2))
	}
	f.Fuzz(func(t *testing.T, b []byte, which, cells uint8) {
		form := tables()[int(which)%len(tables())]
		form.cells = 1 + int(cells)%9
		form.requireSame(t, b, 40)
	})
}

func BenchmarkRows(b *testing.B) {
	text := benchText()
	out, ends := make([]float64, 7*benchRows), make([]int, benchRows)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		decimal.Rows(text, 7, ',', '.', '\n', out, ends)
	}
}

func BenchmarkScan(b *testing.B) {
	text := benchText()
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		for i := 0; i < len(text); {
			_, end, ok := decimal.Scan(text, i, '.')
			if !ok {
				b.Fatal(i)
			}
			i = end + 1
		}
	}
}

// benchRows are so many that no processor learns the text by heart.
const benchRows = 30_000

// benchText is rows as a recording has them.
func benchText() []byte {
	r := rand.New(rand.NewPCG(1, 2))
	var b bytes.Buffer
	for i := range benchRows {
		fmt.Fprintf(&b, "%.6f,%.6g,%.6g,%.6g,%.6g,%.6g,%.6g\n", float64(i)/200, r.NormFloat64(), r.NormFloat64(), r.NormFloat64(), 200*r.NormFloat64(), 50*r.NormFloat64(), 90*r.NormFloat64())
	}
	return bytes.ReplaceAll(b.Bytes(), []byte("e-"), []byte("1"))
}
