package web

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"io"
	"math"
	"net/http"
	"os"
	"strconv"

	"setdown/gait"
	"setdown/signal/unit"
)

const (
	// mostBuckets is how many pairs of extremes an answer has at most: two for
	// each pixel of a wide screen.
	mostBuckets = 4000
	// eventSpan is the longest window, s, in which single events are told.
	eventSpan = 40
	// longestHead bounds the header of a signal file, bytes.
	longestHead = 16 << 20
)

// real is a number in an answer to a script: four digits, null for NaN.
type real float64

// MarshalJSON writes four digits.
func (v real) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
		return []byte("null"), nil
	}
	return strconv.AppendFloat(nil, float64(v), 'g', 4, 64), nil
}

// window is a stretch of a recording, thinned so that no peak is lost: each
// bucket has the lowest and the highest of its samples.
type window struct {
	// From and To are s; Begin and End those of the whole recording.
	From   float64        `json:"from_s"`
	To     float64        `json:"to_s"`
	Begin  float64        `json:"begin_s"`
	End    float64        `json:"end_s"`
	Tracks []windowTrack  `json:"tracks"`
	Events []windowEvents `json:"events"`
}

// windowTrack has acceleration in m/s² and turning rate in deg/s. The k-th
// bucket goes from From + k·Step to From + (k+1)·Step.
type windowTrack struct {
	Label   string  `json:"label"`
	Side    string  `json:"side"`
	Step    float64 `json:"step_s"`
	AccLow  []real  `json:"acc_low"`
	AccHigh []real  `json:"acc_high"`
	GyrLow  []real  `json:"gyr_low"`
	GyrHigh []real  `json:"gyr_high"`
}

// windowEvents are the events of one step, s; null where there is none.
type windowEvents struct {
	Side string      `json:"side"`
	Step int         `json:"step"`
	IC   json.Number `json:"ic"`
	FF   *float64    `json:"ff"`
	TO   *float64    `json:"to"`
	Used bool        `json:"used"`
}

func (s *Server) signalJSON(w http.ResponseWriter, r *http.Request) error {
	now, err := s.current(r)
	if err != nil {
		return err
	}
	f, err := s.cfg.Folder.Open(signalFile(now.key()))
	if errors.Is(err, os.ErrNotExist) {
		return errNoPage
	}
	if err != nil {
		return err
	}
	defer f.Close()
	head, data, err := readHead(f)
	if err != nil {
		return err
	}
	win := windowOf(head, r)
	buckets := min(max(queryInt(r, "width", 600), 50), mostBuckets)
	for _, t := range head {
		one, err := thin(f, data, t, win.From, win.To, buckets)
		if err != nil {
			return err
		}
		win.Tracks = append(win.Tracks, one)
	}
	win.Events = eventsIn(now.Result, win.From, win.To)
	return writeJSON(w, http.StatusOK, win)
}

func readHead(f *os.File) (head []signalTrack, data int64, err error) {
	var n uint32
	if err := binary.Read(f, binary.LittleEndian, &n); err != nil {
		return nil, 0, err
	}
	if n > longestHead {
		return nil, 0, errors.New("the signal file is damaged")
	}
	text := make([]byte, n)
	if _, err := io.ReadFull(f, text); err != nil {
		return nil, 0, err
	}
	return head, int64(n) + 4, json.Unmarshal(text, &head)
}

// windowOf bounds what was asked for by what there is.
func windowOf(head []signalTrack, r *http.Request) window {
	win := window{Begin: math.Inf(1), End: math.Inf(-1), Tracks: []windowTrack{}, Events: []windowEvents{}}
	for _, t := range head {
		for _, s := range t.Spans {
			win.Begin = min(win.Begin, s.Start)
			win.End = max(win.End, s.Start+float64(s.N)/t.Rate)
		}
	}
	if win.Begin > win.End {
		win.Begin, win.End = 0, 1
	}
	win.From = min(max(queryFloat(r, "from", win.Begin), win.Begin), win.End-0.05)
	win.To = max(min(queryFloat(r, "to", win.End), win.End), win.From+0.05)
	return win
}

func queryFloat(r *http.Request, name string, otherwise float64) float64 {
	v, err := strconv.ParseFloat(r.URL.Query().Get(name), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return otherwise
	}
	return v
}

func queryInt(r *http.Request, name string, otherwise int) int {
	v, err := strconv.Atoi(r.URL.Query().Get(name))
	if err != nil {
		return otherwise
	}
	return v
}

// thin reads the samples of a window and keeps the extremes of each bucket.
func thin(f io.ReaderAt, data int64, t signalTrack, from, to float64, n int) (windowTrack, error) {
	if most := int((to-from)*t.Rate) + 1; n > most {
		n = most
	}
	nan := real(math.NaN())
	fill := func() []real {
		out := make([]real, n)
		for i := range out {
			out[i] = nan
		}
		return out
	}
	out := windowTrack{Label: t.Label, Side: t.Side, Step: (to - from) / float64(n), AccLow: fill(), AccHigh: fill(), GyrLow: fill(), GyrHigh: fill()}
	for _, s := range t.Spans {
		lo := max(0, int(math.Ceil((from-s.Start)*t.Rate)))
		hi := min(s.N, int(math.Ceil((to-s.Start)*t.Rate)))
		if lo >= hi {
			continue
		}
		at := data + 8*int64(t.Offset+s.First+lo)
		err := eachSample(io.NewSectionReader(f, at, 8*int64(hi-lo)), func(i int, acc, gyr float32) {
			k := int((s.Start + float64(lo+i)/t.Rate - from) / out.Step)
			if k < 0 || k >= n {
				return
			}
			widen(&out.AccLow[k], &out.AccHigh[k], float64(acc))
			widen(&out.GyrLow[k], &out.GyrHigh[k], unit.DegreePerSecond.FromBase(float64(gyr)))
		})
		if err != nil {
			return out, err
		}
	}
	return out, nil
}

func widen(lo, hi *real, v float64) {
	if math.IsNaN(v) {
		return
	}
	if math.IsNaN(float64(*lo)) || v < float64(*lo) {
		*lo = real(v)
	}
	if math.IsNaN(float64(*hi)) || v > float64(*hi) {
		*hi = real(v)
	}
}

func eachSample(r io.Reader, f func(i int, acc, gyr float32)) error {
	buf := make([]byte, 8*8192)
	for i := 0; ; {
		n, err := io.ReadFull(r, buf)
		for k := 0; k+8 <= n; k += 8 {
			f(i, math.Float32frombits(binary.LittleEndian.Uint32(buf[k:])), math.Float32frombits(binary.LittleEndian.Uint32(buf[k+4:])))
			i++
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return nil
		}
		if err != nil {
			return err
		}
	}
}

// eventsIn tells the events of a short window.
func eventsIn(res *gait.Result, from, to float64) []windowEvents {
	out := []windowEvents{}
	if to-from > eventSpan {
		return out
	}
	at := func(v float64) *float64 {
		if math.IsNaN(v) {
			return nil
		}
		v = math.Round(v*1e4) / 1e4
		return &v
	}
	for i := range res.Steps {
		st := &res.Steps[i]
		if st.InitialContact < from-1 || st.InitialContact > to {
			continue
		}
		out = append(out, windowEvents{Side: st.Side.String(), Step: st.Number, FF: at(st.FootFlat), TO: at(st.ToeOff), Used: st.Used,
			IC: json.Number(strconv.FormatFloat(st.InitialContact, 'f', 4, 64))})
	}
	return out
}
