package web

import (
	"context"
	"net/http"
	"strconv"

	"setdown/gait"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// leaveOut leaves steps or a span out; the summary follows.
func (s *Server) leaveOut(w http.ResponseWriter, r *http.Request) error {
	return s.edit(w, r, "left", func(base *gait.Result, all []edit) ([]edit, error) {
		fresh, err := s.editsOf(r, base)
		if err != nil {
			return nil, err
		}
		all = append(all, fresh...)
		if len(all) > mostEdits {
			return nil, bad("more than %d entries are left out; a span takes many steps at once", mostEdits)
		}
		return all, nil
	})
}

// editsOf reads the form: ticked steps, or a span in s.
func (s *Server) editsOf(r *http.Request, base *gait.Result) ([]edit, error) {
	var out []edit
	for _, id := range r.PostForm["step"] {
		st := stepByID(base, id)
		if st == nil {
			return nil, bad("there is no step %q", id)
		}
		out = append(out, edit{Side: st.Side.String(), Number: st.Number, From: st.InitialContact, To: st.InitialContact, Made: s.cfg.Now()})
	}
	if len(out) > 0 {
		return out, nil
	}
	f := form{r: r}
	from, to, side := f.number("from"), f.number("to"), f.text("side")
	switch {
	case f.err != nil:
		return nil, f.err
	case from == nil || to == nil || !(*to > *from):
		return nil, bad("tick a step, or give a span with its beginning before its end, in seconds")
	case side != "both" && side != recording.Left.String() && side != recording.Right.String():
		return nil, bad("the side of the span is left, right or both")
	}
	return []edit{{Side: side, From: *from, To: *to, Made: s.cfg.Now()}}, nil
}

func stepByID(res *gait.Result, id string) *step.Step {
	for i := range res.Steps {
		if stepID(&res.Steps[i]) == id {
			return &res.Steps[i]
		}
	}
	return nil
}

// undo takes back one entry, or the last one.
func (s *Server) undo(w http.ResponseWriter, r *http.Request) error {
	return s.edit(w, r, "undone", func(_ *gait.Result, all []edit) ([]edit, error) {
		n := len(all) - 1
		if text := r.PostFormValue("n"); text != "" {
			var err error
			if n, err = strconv.Atoi(text); err != nil {
				return nil, bad("%q is no entry", text)
			}
		}
		if n < 0 || n >= len(all) {
			return nil, bad("nothing is left out that could be taken back")
		}
		return append(append([]edit(nil), all[:n]...), all[n+1:]...), nil
	})
}

// edit changes what is left out, and keeps the numbers that follow from it.
func (s *Server) edit(w http.ResponseWriter, r *http.Request, done string, change func(*gait.Result, []edit) ([]edit, error)) error {
	c, sess, err := s.find(r)
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return formError(err)
	}
	base, err := s.base(r.Context(), c, sess)
	if err != nil {
		return err
	}
	if err := s.changeEdits(r.Context(), c.ID, sess.ID, base, change); err != nil {
		return err
	}
	to := sessionPath(c.ID, sess.ID) + "?done=" + done
	if n, err := strconv.Atoi(r.PostFormValue("page")); err == nil {
		to += "&page=" + strconv.Itoa(n)
	}
	return s.next(w, r, to+"#steps")
}

// changeEdits changes what is left out of a session and its numbers, one change at a
// time: of two at once, one would be lost.
func (s *Server) changeEdits(ctx context.Context, caseID, session string, base *gait.Result, change func(*gait.Result, []edit) ([]edit, error)) error {
	s.edits.Lock()
	defer s.edits.Unlock()
	key := keyOf(caseID, session)
	old, err := s.readEdits(key)
	if err != nil {
		return err
	}
	all, err := change(base, old)
	if err != nil {
		return err
	}
	if err := s.writeEdits(key, all); err != nil {
		return err
	}
	return s.keepAnalysis(ctx, caseID, session, without(base, all), len(all))
}
