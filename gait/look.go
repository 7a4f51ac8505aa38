package gait

import (
	"setdown/gait/event"
	"setdown/signal/orient"
	"setdown/signal/recording"
)

// seen is a window of the buffered part, which shares its samples, and what meet
// makes of it.
type seen struct {
	window  event.Window
	contact event.Contact
}

// look reads the buffered part up to its last contact that is complete and
// leaves the detector ready for the blocks that follow. From its landings the
// council decides how initial contact is read, so the steps wait for that.
func (r *tracker) look(a orient.Alignment) []seen {
	var out []seen
	room := r.room.Values(2 * len(r.pending.void)) // windows share a little of each swing
	span, first := -1, 0                           // the span, and the joined index of its first sample
	r.detector = event.NewDetector(a, r.track.Rate, r.out.usual, func(w *event.Window) {
		s := seen{window: r.pending.window(w, first+w.First)}
		n := min(w.Len(), len(room))
		s.contact = r.meet(&s.window, room[:n:n])
		room = room[n:]
		r.study(&s.window, &s.contact)
		out = append(out, s)
	})
	at := 0
	r.pending.replay(func(b *recording.Block) {
		if b.Span != span {
			r.detector.Flush()
			span, first = b.Span, at
		}
		r.detector.PushTurned(b)
		at += b.Len()
	})
	r.detector.Peek(func(w *event.Window) {
		c := r.meet(w, nil)
		r.study(w, &c)
	})
	r.detector.Emit(r.next)
	return out
}

// study takes the landing of one window into account. A shin's is read in one
// way only.
func (r *tracker) study(w *event.Window, c *event.Contact) {
	if r.part == orient.FootPart {
		r.out.study.Add(w, c)
	}
}

// window returns w with its samples in the joined signals, where they begin at
// the index from.
func (p *pending) window(w *event.Window, from int) event.Window {
	out, to := *w, from+w.Len()
	for k := range 3 {
		out.Acc[k], out.Gyr[k] = p.acc[k][from:to], p.gyr[k][from:to]
	}
	out.Void = p.void[from:to]
	return out
}
