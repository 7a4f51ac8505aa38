package recording

import (
	"math"
	"strconv"
)

// exactTen holds the powers of ten that a float64 represents exactly.
var exactTen = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// maxExactInt is 2^53: every whole number up to it is a float64.
const maxExactInt = 1 << 53

// scanNumber reads a plain decimal number (sign, digits, decimal sign, digits)
// at b[i:] and returns its value and the index of the byte after it. The result
// is the float64 that strconv.ParseFloat gives, bit for bit: a mantissa up to
// 2^53 and a power of ten up to 10^22 are both exact, so that their quotient is
// rounded once (Clinger, 1990, PLDI '90, 92–101). ok is false for everything
// else (exponent, more digits, no digits); parseNumber then decides.
func scanNumber(b []byte, i int, dec byte) (value float64, end int, ok bool) {
	neg := false
	if i < len(b) && (b[i] == '-' || b[i] == '+') {
		neg = b[i] == '-'
		i++
	}
	var mant uint64
	first := i
	for i < len(b) && b[i]-'0' <= 9 {
		mant = mant*10 + uint64(b[i]-'0')
		i++
	}
	digits, places := i-first, 0
	if i < len(b) && b[i] == dec {
		i++
		point := i
		for i < len(b) && b[i]-'0' <= 9 {
			mant = mant*10 + uint64(b[i]-'0')
			i++
		}
		places = i - point
		digits += places
	}
	// 19 digits cannot overflow 64 bits; longer ones are left to strconv.
	if digits == 0 || digits > 19 || mant > maxExactInt || i < len(b) && b[i]|0x20 == 'e' {
		return 0, i, false
	}
	value = float64(mant) / exactTen[places]
	if neg {
		value = -value
	}
	return value, i, true
}

// parseNumber reads a whole cell as a decimal number with the decimal sign dec,
// bit-equal to strconv.ParseFloat; parseGrouped reads what is written for people.
// Other notations that strconv knows (hexadecimal, underscores, "inf", "nan") are
// refused; so is a number beyond the largest float64.
func parseNumber(cell []byte, dec byte) (float64, bool) {
	if v, end, ok := scanNumber(cell, 0, dec); ok && end == len(cell) {
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
