// Package decimal reads plain decimal numbers as they stand in tables: digits with
// a sign before and a decimal sign among them. What strconv reads beside that is
// refused here and left to it. Every number is the float64 nearest to what is
// written, bit for bit as strconv.ParseFloat reads it.
package decimal

// exactTen holds the powers of ten that a float64 represents exactly.
var exactTen = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// MaxInt is 2^53: every whole number up to it is a float64.
const MaxInt = 1 << 53

// Scan reads a plain decimal number (sign, digits, decimal sign point, digits) at
// b[i:] and returns its value and the index of the byte after it. The result is
// the float64 that strconv.ParseFloat gives, bit for bit: a mantissa up to 2^53
// and a power of ten up to 10^22 are both exact, so that their quotient is
// rounded once (Clinger, 1990, PLDI '90, 92–101). ok is false for everything
// else (exponent, more digits, no digits).
func Scan(b []byte, i int, point byte) (value float64, end int, ok bool) {
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
	if i < len(b) && b[i] == point {
		i++
		from := i
		for i < len(b) && b[i]-'0' <= 9 {
			mant = mant*10 + uint64(b[i]-'0')
			i++
		}
		places = i - from
		digits += places
	}
	// 19 digits cannot overflow 64 bits; longer ones are left to strconv.
	if digits == 0 || digits > 19 || mant > MaxInt || i < len(b) && b[i]|0x20 == 'e' {
		return 0, i, false
	}
	value = float64(mant) / exactTen[places]
	if neg {
		value = -value
	}
	return value, i, true
}
