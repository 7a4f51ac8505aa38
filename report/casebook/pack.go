package casebook

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"github.com/klauspost/compress/zstd"
	"github.com/sourcegraph/conc/pool"

	"setdown/signal/recording"
)

// maxRecording is the largest recording, in bytes, that is kept: about 20 hours
// of one foot at 200 Hz, and what a blob can safely hold once compressed.
const maxRecording = 1 << 30

// encoding keeps the encoder to one worker, so that the same recording always
// gives the same bytes, and to little memory.
var encoding = []zstd.EOption{zstd.WithEncoderConcurrency(1), zstd.WithLowerEncoderMem(true), zstd.WithWindowSize(1 << 20)}

// packed is a recording compressed for keeping.
type packed struct {
	FileInfo
	data []byte
}

// pack reads a source once, hashing and compressing it on the way.
func pack(s recording.Source) (_ packed, err error) {
	r, err := s.Open()
	if err != nil {
		return packed{}, err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	var out bytes.Buffer
	z, err := zstd.NewWriter(&out, encoding...)
	if err != nil {
		return packed{}, err
	}
	hash := sha256.New()
	n, err := io.Copy(io.MultiWriter(z, hash), io.LimitReader(r, maxRecording+1))
	if err = errors.Join(err, z.Close()); err != nil {
		return packed{}, err
	}
	if n > maxRecording {
		return packed{}, fmt.Errorf("is larger than %d MB; cut it into parts", maxRecording>>20)
	}
	return packed{FileInfo{filepath.Base(s.Name), s.Side.String(), hex.EncodeToString(hash.Sum(nil)), n}, out.Bytes()}, nil
}

// packers is how many recordings are compressed side by side: each takes some
// 10 MB beside what it makes.
const packers = 4

// packAll packs sources side by side, in their order. The error names the first
// source, in their order, that could not be packed.
func packAll(ctx context.Context, sources []recording.Source) ([]packed, error) {
	files, errs := make([]packed, len(sources)), make([]error, len(sources))
	group := pool.New().WithMaxGoroutines(packers).WithErrors()
	for i, s := range sources {
		group.Go(func() error {
			if errs[i] = ctx.Err(); errs[i] == nil {
				files[i], errs[i] = pack(s)
			}
			return errs[i]
		})
	}
	if group.Wait() == nil {
		return files, nil
	}
	for i, err := range errs {
		if err != nil {
			return nil, fmt.Errorf("%s: %w", sources[i].Name, err)
		}
	}
	return files, nil
}

// packBytes compresses bytes without a name.
func packBytes(data []byte) []byte {
	z, err := zstd.NewWriter(nil, encoding...)
	if err != nil {
		panic("casebook: zstd: " + err.Error())
	}
	return z.EncodeAll(data, nil)
}

// unpack decompresses what pack made and never gives more than limit bytes.
func unpack(data []byte, limit int64) ([]byte, error) {
	z, err := zstd.NewReader(bytes.NewReader(data), zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxMemory(64<<20))
	if err != nil {
		return nil, err
	}
	defer z.Close()
	out, err := io.ReadAll(io.LimitReader(z, limit+1))
	if err != nil {
		return nil, err
	}
	if int64(len(out)) > limit {
		return nil, fmt.Errorf("holds more than the %d bytes it should", limit)
	}
	return out, nil
}

// Recordings returns the recordings of a session as sources in memory, in the
// order in which they were given. The bytes are checked against their hashes.
func (b *Book) Recordings(ctx context.Context, caseID, id string) ([]recording.Source, error) {
	rows, err := b.db.QueryContext(ctx, `SELECT r.name, r.side, r.sha256, r.bytes, r.packed FROM recordings r
		JOIN sessions s ON s.row = r.session WHERE s.case_id = ? AND s.id = ? ORDER BY r.ord`, caseID, id)
	if err != nil {
		return nil, plain(err)
	}
	defer rows.Close()
	var out []recording.Source
	for rows.Next() {
		var f packed
		if err := rows.Scan(&f.Name, &f.Side, &f.SHA256, &f.Bytes, &f.data); err != nil {
			return nil, plain(err)
		}
		data, err := unpack(f.data, f.Bytes)
		if err != nil {
			return nil, fmt.Errorf("the kept recording %s: %w: %w", f.Name, ErrDamaged, err)
		}
		if sum := sha256.Sum256(data); hex.EncodeToString(sum[:]) != f.SHA256 {
			return nil, fmt.Errorf("the kept recording %s does not match its hash: the casebook is damaged", f.Name)
		}
		out = append(out, recording.Bytes(f.Name, data, sideOf(f.Side)))
	}
	if len(out) == 0 && rows.Err() == nil {
		return nil, fmt.Errorf("%s: %w", id, ErrNoSession)
	}
	return out, plain(rows.Err())
}

// sideOf reads what Side.String printed.
func sideOf(word string) recording.Side {
	for _, s := range []recording.Side{recording.Left, recording.Right} {
		if s.String() == word {
			return s
		}
	}
	return recording.SideUnknown
}
