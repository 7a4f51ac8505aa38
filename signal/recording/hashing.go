package recording

import (
	"crypto/sha256"
	"encoding/hex"
	"hash"
	"io"
)

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
