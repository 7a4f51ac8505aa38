package table

import "strings"

// guarded lists the characters that make a spreadsheet read a cell as a
// formula when they stand first. (The list is the one of OWASP's page on CSV
// injection, from memory.)
const guarded = "=+-@\t\r"

// Guard puts an apostrophe before a text that a spreadsheet would run as a
// formula, and before a text that already begins with such an apostrophe, so
// that unguarding gives the text back. Use it for text that can come from
// files (names, reasons), never for numbers.
func Guard(text string) string {
	bare := strings.TrimLeft(text, "'")
	if bare != "" && strings.IndexByte(guarded, bare[0]) >= 0 {
		return "'" + text
	}
	return text
}

// Unguard takes back what Guard did.
func Unguard(text string) string {
	if rest, ok := strings.CutPrefix(text, "'"); ok && Guard(rest) == text {
		return rest
	}
	return text
}

// appendText appends a guarded text cell, quoted as RFC 4180 says where it
// holds a comma, a quote or a line break.
func appendText(dst []byte, text string) []byte {
	text = Guard(text)
	if !strings.ContainsAny(text, ",\"\r\n") {
		return append(dst, text...)
	}
	dst = append(dst, '"')
	for i := range len(text) {
		if text[i] == '"' {
			dst = append(dst, '"')
		}
		dst = append(dst, text[i])
	}
	return append(dst, '"')
}
