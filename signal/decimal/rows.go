package decimal

// reach is how many bytes the reading of a number looks at, and one more: the
// second character of a line end.
const reach = 17

// Rows reads lines from the begin of b that are nothing but as many plain decimal
// numbers as cells says, each of at most 15 characters, with delim between two and
// eol, or a carriage return and eol, after the last. The numbers are those of Scan,
// bit for bit; they go to out, row after row. ends gets where in b each line ends.
//
// Rows returns how many lines it read. It stops before the first that is another
// (a plus sign, a space, an empty cell, a number that is longer), where ends is
// full, and a few bytes before the end of b, whatever stands there; Scan reads on. It
// also stops where delim is the decimal sign too and both follow on each other.
// On a processor without the instructions it needs it reads none. It panics where
// out has no room for all cells of all ends.
func Rows(b []byte, cells int, delim, point, eol byte, out []float64, ends []int) int {
	if cells < 1 || len(out) < cells*len(ends) {
		panic("decimal: there must be room for each cell of each row")
	}
	if !able() || len(b) < reach || len(ends) == 0 {
		return 0
	}
	return rows(b, cells, delim, point, eol, out, ends)
}
