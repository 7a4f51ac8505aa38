package recording

import (
	"archive/zip"
	"bufio"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"hash"
	"io"
	"path"
	"strings"
	"sync"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
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
			return nil, fault(f.name, 0, "damaged gzip file: %v", err)
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
		return nil, 0, fault(name, 0, "damaged zip archive: %v", err)
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

// hashing passes bytes on and computes their hash on the way.
type hashing struct {
	r io.ReadCloser
	f *file
	// sum is the hash of the first done bytes; nil when none is wanted.
	sum  hash.Hash
	done int64
	n    int64 // bytes passed on
}

// resume goes on with the hash that an earlier reading left, or begins one.
func (h *hashing) resume() {
	h.f.mu.Lock()
	defer h.f.mu.Unlock()
	if h.f.sum != "" {
		return
	}
	if h.sum, h.done, h.f.part = h.f.part, h.f.partBytes, nil; h.sum == nil {
		h.sum, h.done = sha256.New(), 0
	}
}

// seek goes to an offset of the text where the bytes are the text and those
// before need not be hashed; false leaves it at the start.
func (h *hashing) seek(offset int64) bool {
	s, ok := h.r.(io.Seeker)
	at := int64(h.f.skip) + offset
	if !ok || offset == 0 || h.f.packed != plainBytes || h.f.text != nil || h.sum != nil && h.done < at {
		return false
	}
	n, err := s.Seek(at, io.SeekStart)
	h.n = n
	return err == nil
}

func (h *hashing) Read(p []byte) (int, error) {
	n, err := h.r.Read(p)
	h.n += int64(n)
	if h.sum == nil {
		return n, err
	}
	if fresh := h.n - h.done; fresh > 0 {
		h.sum.Write(p[int64(n)-fresh : n])
		h.done = h.n
	}
	if err == io.EOF {
		if h.done == h.n { // else the file has become shorter
			h.f.learn(hex.EncodeToString(h.sum.Sum(nil)), h.n)
		}
		h.sum = nil
	}
	return n, err
}

// Close closes the source; the hash so far is left for the next reading.
func (h *hashing) Close() error {
	if h.sum != nil {
		h.f.leave(h.sum, h.done)
		h.sum = nil
	}
	return h.r.Close()
}

// known returns the hash, or "" when it is not known yet.
func (f *file) known() string {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.sum
}

func (f *file) learn(sum string, n int64) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.sum, f.bytes = sum, n
}

func (f *file) leave(part hash.Hash, n int64) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.sum == "" && (f.part == nil || n > f.partBytes) {
		f.part, f.partBytes = part, n
	}
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

// files finds the tables in a source: itself, or the members of an archive.
func files(src Source) ([]*file, error) {
	raw, err := src.Open()
	if err != nil {
		return nil, openError(src.Name, err)
	}
	defer raw.Close()
	r := bufio.NewReader(raw)
	magic, err := r.Peek(4)
	if err != nil && err != io.EOF {
		return nil, readError(src.Name, 0, err)
	}
	switch {
	case len(magic) == 0:
		return nil, fault(src.Name, 0, "the file is empty").hint("export the recording again")
	case bytes.HasPrefix(magic, []byte{0x1f, 0x8b}):
		return []*file{{src: src, name: src.Name, packed: gzipped}}, nil
	case bytes.HasPrefix(magic, []byte("PK\x03\x04")):
		return members(src, r)
	}
	return []*file{{src: src, name: src.Name}}, nil
}

// members lists the tables of a zip archive in their order.
func members(src Source, r io.Reader) ([]*file, error) {
	z, _, err := readArchive(r, src.Name)
	if err != nil {
		return nil, err
	}
	var out []*file
	for _, m := range z.File {
		base := path.Base(m.Name)
		switch ext := strings.ToLower(path.Ext(base)); {
		case strings.HasSuffix(m.Name, "/"), strings.HasPrefix(base, "."), strings.HasPrefix(m.Name, "__MACOSX"):
		case ext == ".csv", ext == ".tsv", ext == ".txt", ext == ".dat", ext == ".asc":
			out = append(out, &file{src: src, name: src.Name + "/" + base, member: m.Name, packed: zipped})
		}
	}
	if len(out) == 0 {
		return nil, fault(src.Name, 0, "no .csv, .tsv or .txt file in the archive")
	}
	if len(out) > maxMembers {
		return nil, fault(src.Name, 0, "%d tables in the archive; at most %d are read", len(out), maxMembers)
	}
	return out, nil
}

// sniffText decides encoding and line end from the first bytes.
func (f *file) sniffText(head []byte) {
	f.text, f.skip, f.eol = nil, 0, '\n'
	switch {
	case bytes.HasPrefix(head, []byte{0xef, 0xbb, 0xbf}):
		f.skip = 3
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}), zeros(head, 1):
		f.text = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)
	case bytes.HasPrefix(head, []byte{0xfe, 0xff}), zeros(head, 0):
		f.text = unicode.UTF16(unicode.BigEndian, unicode.UseBOM)
	case !validText(head):
		f.text = charmap.Windows1252
	}
}

// zeros tells whether nearly every second byte, from the given one, is NUL and
// nearly no other: UTF-16 without a mark.
func zeros(head []byte, from int) bool {
	n := min(len(head), 512) &^ 1
	if n < 8 {
		return false
	}
	var count [2]int
	for i, c := range head[:n] {
		if c == 0 {
			count[i&1]++
		}
	}
	return count[from] > n/2*9/10 && count[1-from] < n/20
}

// validText tells whether head is UTF-8; a rune cut off at its end is forgiven.
func validText(head []byte) bool {
	for i := 0; i < 4 && len(head) > 0; i++ {
		if utf8.Valid(head) {
			return true
		}
		head = head[:len(head)-1]
	}
	return utf8.Valid(head)
}
