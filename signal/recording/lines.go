package recording

import (
	"bytes"
	"io"
	"unicode/utf8"
)

// Limits of what is read.
const (
	// blockBytes is how much is read at a time.
	blockBytes = 64 << 10
	// MaxLine is the longest line, in bytes.
	MaxLine = 1 << 20
	// MaxColumns is how many columns a line may have.
	MaxColumns = 4096
)

// lineReader cuts a stream into lines. A line's bytes are valid until the next
// call; nothing is allocated per line.
type lineReader struct {
	r    io.Reader
	name string
	eol  byte
	buf  []byte
	a, b int   // buf[a:b] is read and not yet given out
	base int64 // offset of buf in the text
	// line is the 1-based number of the line given out last.
	line int
	eof  bool
	// open tells that the last line had no line end.
	open bool
}

// newLineReader reads lines that end in eol ('\n', or '\r' for the one old
// convention that uses it alone).
func newLineReader(r io.Reader, name string, eol byte) *lineReader {
	return &lineReader{r: r, name: name, eol: eol, buf: make([]byte, blockBytes)}
}

// next returns the next line without its end, and io.EOF after the last.
func (l *lineReader) next() ([]byte, error) {
	seen := 0
	for {
		if i := bytes.IndexByte(l.buf[l.a+seen:l.b], l.eol); i >= 0 {
			end := l.a + seen + i
			line := l.buf[l.a:end]
			l.a = end + 1
			l.line++
			return chop(line), nil
		}
		seen = l.b - l.a
		if l.eof {
			return l.rest()
		}
		if err := l.fill(); err != nil {
			return nil, err
		}
	}
}

// offset is where the next line begins, in bytes of text.
func (l *lineReader) offset() int64 { return l.base + int64(l.a) }

// skip counts n lines, size bytes with their ends, all in buf, as given out.
func (l *lineReader) skip(n, size int) {
	l.a += size
	l.line += n
}

// rest gives out what stands after the last line end.
func (l *lineReader) rest() ([]byte, error) {
	line := l.buf[l.a:l.b]
	l.a = l.b
	if len(line) == 0 {
		return nil, io.EOF
	}
	l.line++
	l.open = true
	return chop(line), nil
}

// fill moves the unfinished line to the front and reads on behind it.
func (l *lineReader) fill() error {
	if l.a > 0 {
		l.base += int64(l.a)
		l.b = copy(l.buf, l.buf[l.a:l.b])
		l.a = 0
	}
	if l.b > MaxLine {
		return fault(l.name, l.line+1, "the line is longer than %d bytes", MaxLine).
			hint("this is not a table of samples; see setdown inspect --help for what is read")
	}
	if l.b == len(l.buf) {
		l.buf = append(l.buf, make([]byte, len(l.buf))...)
	}
	n, err := l.r.Read(l.buf[l.b:])
	l.b += n
	if err == io.EOF {
		l.eof = true
		return nil
	}
	if err != nil {
		return readError(l.name, l.line+1, err)
	}
	return nil
}

// chop removes a carriage return at the end of a line.
func chop(line []byte) []byte {
	if n := len(line); n > 0 && line[n-1] == '\r' {
		return line[:n-1]
	}
	return line
}

// readError places a failure to read; an *Error is passed on as it is.
func readError(name string, line int, err error) error {
	if e, ok := err.(*Error); ok {
		return e
	}
	e := openError(name, err)
	e.Line = line
	return e
}

// trim removes spaces around a cell.
func trim(b []byte) []byte {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\t') {
		b = b[1:]
	}
	for n := len(b); n > 0 && (b[n-1] == ' ' || b[n-1] == '\t'); n = len(b) {
		b = b[:n-1]
	}
	return b
}

// splitCells cuts a line into cells and appends them to dst: quotes removed,
// spaces trimmed. With delim ' ' any run of spaces and tabs separates. A quote
// opens only at the start of a cell; a doubled quote inside stands for one.
func splitCells(dst [][]byte, line []byte, delim byte) [][]byte {
	if delim == ' ' {
		if unspaced(line) {
			return append(dst, line)
		}
		for _, cell := range bytes.Fields(line) {
			if n := len(cell); n > 1 && cell[0] == '"' && cell[n-1] == '"' {
				cell = cell[1 : n-1]
			}
			dst = append(dst, cell)
		}
		return dst
	}
	if dst == nil { // all at once: growing by and by takes three times the memory
		dst = make([][]byte, 0, bytes.Count(line, []byte{delim})+1)
	}
	for {
		cell, rest, more := cutCell(line, delim)
		dst = append(dst, cell)
		if !more {
			return dst
		}
		line = rest
	}
}

// unspaced tells whether a line is one run of plain characters.
func unspaced(line []byte) bool {
	for _, c := range line {
		if c <= ' ' || c >= utf8.RuneSelf {
			return false
		}
	}
	return len(line) > 0
}

// cutCell takes the first cell off a line.
func cutCell(line []byte, delim byte) (cell, rest []byte, more bool) {
	lead := 0
	for lead < len(line) && line[lead] == ' ' {
		lead++
	}
	if lead < len(line) && line[lead] == '"' {
		if cell, rest, more, ok := cutQuoted(line[lead+1:], delim); ok {
			return cell, rest, more
		}
	}
	i := bytes.IndexByte(line, delim)
	if i < 0 {
		return trim(line), nil, false
	}
	return trim(line[:i]), line[i+1:], true
}

// cutQuoted takes a cell off a line after its opening quote; ok is false when
// the quote is not closed.
func cutQuoted(line []byte, delim byte) (cell, rest []byte, more, ok bool) {
	doubled := false
	for i := 0; i < len(line); i++ {
		if line[i] != '"' {
			continue
		}
		if i+1 < len(line) && line[i+1] == '"' {
			doubled = true
			i++
			continue
		}
		cell = line[:i]
		if doubled {
			cell = bytes.ReplaceAll(cell, []byte(`""`), []byte(`"`))
		}
		rest = trimLeft(line[i+1:], delim)
		if len(rest) == 0 {
			return trim(cell), nil, false, true
		}
		return trim(cell), rest[1:], true, rest[0] == delim
	}
	return nil, nil, false, false
}

// trimLeft removes spaces before a delimiter.
func trimLeft(b []byte, delim byte) []byte {
	for len(b) > 0 && b[0] == ' ' && delim != ' ' {
		b = b[1:]
	}
	return b
}
