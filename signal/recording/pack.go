package recording

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"hash"
	"io"
	"sync"

	"golang.org/x/text/encoding"
	"golang.org/x/text/transform"
)

// What a packed file may unpack to: a table of samples shrinks some 3–10 fold,
// so that a hundredfold is not a recording.
const (
	// unpackFree is how many bytes may come out whatever went in.
	unpackFree = 64 << 20
	// unpackRatio bounds bytes out per byte in beyond that.
	unpackRatio = 100
	// maxArchive is the largest zip archive, which has to be held in memory.
	maxArchive = 512 << 20
	// maxMembers bounds the tables in one archive.
	maxMembers = 64
)

// file is one table of samples: a source, or a member of an archive.
type file struct {
	src Source
	// name stands in messages: the source's name, with the member's after it.
	name string
	// member is the name inside a zip archive, else empty.
	member string
	packed packing
	// text is the encoding, decided once; nil is UTF-8 without a mark.
	text encoding.Encoding
	// skip is how many bytes of mark stand before UTF-8 text.
	skip int
	eol  byte
	// crlf tells that lines end in CR LF.
	crlf bool
	// short tells that the head is the whole text.
	short bool

	mu    sync.Mutex
	sum   string // SHA-256 of the source's bytes, once known
	bytes int64
	// part is the hash of the source's first partBytes bytes, left by a reading
	// that ended early; nil when there is none.
	part      hash.Hash
	partBytes int64
}

type packing uint8

const (
	plainBytes packing = iota
	gzipped
	zipped
)

// openAt opens the decoded text at an offset; reading to the end makes the hash
// known.
func (f *file) openAt(offset int64) (io.ReadCloser, error) {
	raw, err := f.src.Open()
	if err != nil {
		return nil, openError(f.src.Name, err)
	}
	h := &hashing{r: raw, f: f}
	h.resume()
	if h.seek(offset) {
		return h, nil
	}
	r, err := f.decode(h)
	if err != nil {
		return nil, err
	}
	if _, err := io.CopyN(io.Discard, r, offset); err != nil {
		r.Close()
		return nil, readError(f.name, 0, err)
	}
	return r, nil
}

// open opens the decoded text, without a hash.
func (f *file) open() (io.ReadCloser, error) {
	raw, err := f.src.Open()
	if err != nil {
		return nil, openError(f.src.Name, err)
	}
	return f.decode(&hashing{r: raw, f: f})
}

// decode undoes packing and character encoding. It closes h where it fails.
func (f *file) decode(h *hashing) (io.ReadCloser, error) {
	r, err := f.unpack(h)
	if err != nil {
		h.Close()
		return nil, err
	}
	if f.skip > 0 {
		if _, err := io.CopyN(io.Discard, r, int64(f.skip)); err != nil && err != io.EOF {
			h.Close()
			return nil, readError(f.name, 0, err)
		}
	}
	if f.text != nil {
		r = transform.NewReader(r, f.text.NewDecoder())
	}
	return struct {
		io.Reader
		io.Closer
	}{r, h}, nil
}

// unpack undoes the compression, within the limit.
func (f *file) unpack(h *hashing) (io.Reader, error) {
	switch f.packed {
	case gzipped:
		z, err := gzip.NewReader(h)
		if err != nil {
			return nil, fault(f.name, 0, "damaged gzip file: %v", err).hint("copy or export the file again")
		}
		return &limited{r: z, f: f, in: func() int64 { return h.n }}, nil
	case zipped:
		return f.unzip(h)
	}
	return h, nil
}

// unzip opens the file's member of a zip archive.
func (f *file) unzip(h *hashing) (io.Reader, error) {
	z, n, err := readArchive(h, f.src.Name)
	if err != nil {
		return nil, err
	}
	for _, m := range z.File {
		if m.Name != f.member {
			continue
		}
		r, err := m.Open()
		if err != nil {
			return nil, fault(f.name, 0, "damaged zip archive: %v", err)
		}
		return &limited{r: r, f: f, in: func() int64 { return n }}, nil
	}
	return nil, fault(f.name, 0, "is no longer in the archive")
}

// readArchive holds a zip archive in memory and reads its directory.
func readArchive(r io.Reader, name string) (*zip.Reader, int64, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxArchive+1))
	if err != nil {
		return nil, 0, openError(name, err)
	}
	if len(data) > maxArchive {
		return nil, 0, fault(name, 0, "the archive is larger than %d MiB", maxArchive>>20).hint("unpack it first")
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, 0, fault(name, 0, "damaged zip archive: %v", err).hint("copy or export the file again")
	}
	return z, int64(len(data)), nil
}

// limited stops unpacking at the limit, so that a small file cannot fill the
// memory or the day.
type limited struct {
	r   io.Reader
	f   *file
	out int64
	in  func() int64
}

func (l *limited) Read(p []byte) (int, error) {
	n, err := l.r.Read(p)
	l.out += int64(n)
	if l.out > unpackFree && l.out > unpackRatio*l.in() {
		return 0, fault(l.f.name, 0, "unpacks to more than %d times its size", unpackRatio).
			hint("this is not a recording; if it is, unpack it first")
	}
	if err != nil && err != io.EOF {
		return n, fault(l.f.name, 0, "damaged in packing: %v", err).hint("copy or export the file again")
	}
	return n, err
}

// input describes the source for session.json.
func (f *file) input() Input {
	f.mu.Lock()
	defer f.mu.Unlock()
	return Input{Name: f.name, SHA256: f.sum, Bytes: f.bytes}
}

// finish reads the source to its end if its hash is not known yet.
func (f *file) finish() error {
	if f.known() != "" {
		return nil
	}
	raw, err := f.src.Open()
	if err != nil {
		return openError(f.src.Name, err)
	}
	h := &hashing{r: raw, f: f}
	h.resume()
	defer h.Close()
	_, err = io.CopyBuffer(struct{ io.Writer }{io.Discard}, h, make([]byte, blockBytes))
	if err != nil {
		return readError(f.src.Name, 0, err)
	}
	return nil
}
