package recording

import (
	"math"
	"strconv"

	"setdown/signal/decimal"
)

// parseNumber reads a whole cell as a decimal number with the decimal sign dec,
// bit-equal to strconv.ParseFloat; parseGrouped reads what is written for people.
// Other notations that strconv knows (hexadecimal, underscores, "inf", "nan") are
// refused; so is a number beyond the largest float64.
func parseNumber(cell []byte, dec byte) (float64, bool) {
	if v, end, ok := decimal.Scan(cell, 0, dec); ok && end == len(cell) {
		return v, true
	}
	var room [64]byte
	text := room[:0]
	digit := false
	for _, c := range cell {
		switch {
		case c == dec:
			c = '.'
		case c >= '0' && c <= '9':
			digit = true
		case c == '+' || c == '-' || digit && c|0x20 == 'e':
		default:
			return parseGrouped(cell, dec)
		}
		text = append(text, c)
	}
	v, err := strconv.ParseFloat(string(text), 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, false
	}
	return v, true
}

// isMissing tells whether a trimmed cell says that there is no value: a word, in
// upper or lower case, that exports write for it.
func isMissing(cell []byte) bool {
	switch n := len(cell); {
	case n == 0:
		return true
	case cell[0] == '#' && (cell[n-1] == '!' || cell[n-1] == '?'):
		return true // an error of a spreadsheet, in any language: #DIV/0!, #WERT!, #NAME?
	case n > 9 || cell[0]-'0' <= 9 && (n < 6 || cell[2] != '#'):
		return false // no word is longer, and those with a digit first are "1.#..."
	}
	var low [9]byte
	for i, c := range cell {
		if c >= 'A' && c <= 'Z' {
			c |= 0x20
		}
		low[i] = c
	}
	switch string(low[:len(cell)]) {
	case "nan", "na", "n/a", "null", "none", "-", "--", "nil", "inf", "+inf", "-inf", "infinity", "-infinity", "#n/a", "#nv", "#n/d", "n/d", "nan.", "?", ".", "*",
		"1.#qnan", "-1.#ind", "1.#inf", "-1.#inf", "-nan", "-nan(ind)", "nan(ind)", "<null>", "missing":
		return true
	}
	return false
}
