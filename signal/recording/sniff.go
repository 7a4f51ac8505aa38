package recording

import (
	"bufio"
	"bytes"
	"io"
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

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
	for i, f := range out { // two of one name are told apart by their folders
		if slices.ContainsFunc(out, func(o *file) bool { return o != f && path.Base(o.member) == path.Base(f.member) }) {
			out[i].name = src.Name + "/" + f.member
		}
	}
	if len(out) == 0 {
		return nil, noMember(src.Name, z.File)
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
