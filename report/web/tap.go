package web

import (
	"bufio"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"sync"

	"setdown/signal/recording"
	"setdown/signal/remark"
)

// tap writes the size of acceleration and turning rate of every sample to the
// disk while an analysis reads it, for the picture of the whole recording: the
// files need not be read a second time. A sample takes eight bytes: an hour of
// both feet at 200 Hz is 12 MB.
type tap struct {
	root *os.Root
	dir  string

	mu     sync.Mutex
	tracks []*tapped
}

// tapped is one track.
type tapped struct {
	signalTrack
	name string
	file *os.File
	out  *bufio.Writer
	err  error
}

// signalTrack describes the samples of a track in a signal file.
type signalTrack struct {
	Label string       `json:"label"`
	Side  string       `json:"side"`
	Site  string       `json:"site"`
	Rate  float64      `json:"rate_hz"`
	Spans []signalSpan `json:"spans"`
	// Offset is the place of the first sample in the file's data, in samples.
	Offset int `json:"offset"`
}

// signalSpan is a run of samples without a gap: sample First+i stands at
// Start + i/rate s.
type signalSpan struct {
	Start float64 `json:"start_s"`
	First int     `json:"first"`
	N     int     `json:"n"`
}

func newTap(root *os.Root, dir string) *tap { return &tap{root: root, dir: dir} }

// on puts the tap on a track. A reading that begins anew starts over.
func (p *tap) on(t *recording.Track) *recording.Track {
	p.mu.Lock()
	w := &tapped{name: fmt.Sprintf("%s/tap-%d", p.dir, len(p.tracks))}
	p.tracks = append(p.tracks, w)
	p.mu.Unlock()
	return recording.NewTrack(*t, func(rs *remark.List, yield func(*recording.Block) error) (recording.Summary, error) {
		w.begin(p.root, t)
		return t.Read(rs, func(b *recording.Block) error {
			w.block(b)
			return yield(b)
		})
	})
}

func (w *tapped) begin(root *os.Root, t *recording.Track) {
	if w.file != nil {
		w.err = w.file.Close()
	}
	w.signalTrack = signalTrack{Label: t.Label, Side: t.Side.String(), Site: t.Site.String(), Rate: t.Rate}
	w.file, w.err = root.OpenFile(w.name, os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o600)
	if w.err == nil {
		w.out = bufio.NewWriterSize(w.file, 1<<16)
	}
}

// block writes a block. A mistake is kept: the analysis goes on without the
// picture.
func (w *tapped) block(b *recording.Block) {
	if w.err != nil {
		return
	}
	n := len(w.Spans)
	if b.First == 0 || n == 0 {
		first := 0
		if n > 0 {
			first = w.Spans[n-1].First + w.Spans[n-1].N
		}
		w.Spans = append(w.Spans, signalSpan{Start: b.Start + float64(b.First)/w.Rate, First: first})
	}
	w.Spans[len(w.Spans)-1].N += b.Len()
	var cell [8]byte
	for i := range b.Len() {
		acc, gyr := size(b.Acc, i), size(b.Gyr, i)
		if b.Void[i]&recording.VoidAcc != 0 {
			acc = float32(math.NaN())
		}
		if b.Void[i]&recording.VoidGyr != 0 {
			gyr = float32(math.NaN())
		}
		binary.LittleEndian.PutUint32(cell[:4], math.Float32bits(acc))
		binary.LittleEndian.PutUint32(cell[4:], math.Float32bits(gyr))
		if _, err := w.out.Write(cell[:]); err != nil {
			w.err = err
			return
		}
	}
}

// size is the length of the vector of sample i, NaN without the sensor.
func size(v [3][]float64, i int) float32 {
	if v[0] == nil || v[1] == nil || v[2] == nil {
		return float32(math.NaN())
	}
	return float32(math.Sqrt(v[0][i]*v[0][i] + v[1][i]*v[1][i] + v[2][i]*v[2][i]))
}

// close ends the writing. It may be called again.
func (p *tap) close() error {
	var errs []error
	for _, w := range p.tracks {
		if w.file == nil {
			continue
		}
		if w.err == nil && w.out != nil {
			w.err = w.out.Flush()
		}
		errs = append(errs, w.err, w.file.Close())
		w.file, w.out = nil, nil
	}
	return errors.Join(errs...)
}

// signalFile is the file of a session's samples: the length of a JSON header,
// the header, the samples of each track.
func signalFile(key string) string { return kept + "/" + key + ".signal" }

// moveTo joins the tracks into the signal file of a session.
func (p *tap) moveTo(key string) error {
	var head []signalTrack
	offset := 0
	for _, w := range p.tracks {
		w.Offset = offset
		for _, s := range w.Spans {
			offset += s.N
		}
		head = append(head, w.signalTrack)
	}
	text, err := json.Marshal(head)
	if err != nil {
		return err
	}
	return writeWhole(p.root, signalFile(key), func(f *os.File) error {
		if err := binary.Write(f, binary.LittleEndian, uint32(len(text))); err != nil {
			return err
		}
		if _, err := f.Write(text); err != nil {
			return err
		}
		for _, w := range p.tracks {
			if err := p.copyTo(f, w.name); err != nil {
				return err
			}
		}
		return nil
	})
}

func (p *tap) copyTo(f *os.File, name string) error {
	in, err := p.root.Open(name)
	if err != nil {
		return err
	}
	_, err = io.Copy(f, in)
	return errors.Join(err, in.Close())
}
