package recording

import (
	"bytes"
	"io"
)

// head reads the first lines of a file and decides its encoding.
func (f *file) head() ([][]byte, error) {
	f.text, f.skip = nil, 0
	data, err := f.first(headBytes)
	if err != nil {
		return nil, err
	}
	if err := foreign(f.name, data); err != nil {
		return nil, err
	}
	f.short = len(data) < headBytes
	f.sniffText(data)
	if f.text != nil || f.skip > 0 {
		if data, err = f.first(headBytes); err != nil {
			return nil, err
		}
	}
	return f.headLines(data)
}

// first reads the first n bytes of the text, or all that there is.
func (f *file) first(n int) ([]byte, error) {
	r, err := f.open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	data := make([]byte, n)
	n, err = io.ReadFull(r, data)
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return nil, readError(f.name, 0, err)
	}
	return data[:n], nil
}

// headLines cuts the head; a last line that may be cut off is left out unless
// it is the only one.
func (f *file) headLines(text []byte) ([][]byte, error) {
	f.eol, f.crlf = lineEnd(text), bytes.Contains(text, []byte("\r\n"))
	l := &lineReader{name: f.name, eol: f.eol, buf: text, b: len(text), eof: true}
	out := make([][]byte, 0, 1+bytes.Count(text, []byte{f.eol}))
	for {
		line, err := l.next()
		if err != nil {
			break
		}
		out = append(out, line)
	}
	if len(text) == headBytes {
		if len(out) < 2 {
			return f.longLine(out)
		}
		out = out[:len(out)-1]
	}
	return out, nil
}

// longLine refuses a first line that does not end.
func (f *file) longLine(out [][]byte) ([][]byte, error) {
	r, err := f.open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	line, err := newLineReader(r, f.name, f.eol).next()
	if err != nil && err != io.EOF {
		return nil, err
	}
	return [][]byte{append([]byte(nil), line...)}, nil
}

// lineEnd returns '\r' for text that uses it alone, else '\n'.
func lineEnd(text []byte) byte {
	if bytes.IndexByte(text, '\n') < 0 && bytes.IndexByte(text, '\r') >= 0 {
		return '\r'
	}
	return '\n'
}
