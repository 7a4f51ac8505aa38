package web

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"setdown/signal/recording"
)

// intakeReread reads the files again with sides, columns and units corrected.
func (s *Server) intakeReread(w http.ResponseWriter, r *http.Request) error {
	in, err := s.intakes.get(r.PathValue("id"))
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return formError(err)
	}
	in.mu.Lock()
	err = in.correct(r)
	if err == nil {
		s.readLater(in)
	}
	in.mu.Unlock()
	if err != nil {
		return s.complain(w, r, in, err)
	}
	return s.next(w, r, "/upload/"+in.id)
}

// correct takes over what was filled in. The caller holds in.mu.
func (in *intake) correct(r *http.Request) error {
	if in.phase != phaseCheck {
		return bad("these files are being worked on; wait or cancel first")
	}
	how := in.how
	if text := strings.TrimSpace(r.PostFormValue("rate")); text != "" {
		rate, err := strconv.ParseFloat(text, 64)
		if err != nil || !(rate > 0) || rate > recording.MaxRate {
			return bad("the sampling rate %q is not a number of samples a second, for example 200", text)
		}
		how.Rate = rate
	} else {
		how.Rate = 0
	}
	var err error
	if _, err = recording.ParseCadenceCounts(r.PostFormValue("counts")); err != nil {
		return bad("%s", err)
	}
	how.CadenceCounts, how.OneSensor = r.PostFormValue("counts"), r.PostFormValue("one_sensor") == "yes"
	if r.PostForm.Has("columns") {
		if how.Columns, how.Files, err = in.mappings(r); err != nil {
			return err
		}
	}
	in.single = in.single || r.PostFormValue("single") != ""
	sides := in.sidesOf(r)
	in.how = how
	for i := range in.files {
		in.files[i].Side = sides[i]
	}
	return nil
}

// sidesOf reads the sides; a swap turns each known side round.
func (in *intake) sidesOf(r *http.Request) []recording.Side {
	out := make([]recording.Side, len(in.files))
	for i, f := range in.files {
		out[i] = f.Side
		switch r.PostFormValue(fmt.Sprintf("side-%d", i)) {
		case "left":
			out[i] = recording.Left
		case "right":
			out[i] = recording.Right
		case "unknown":
			out[i] = recording.SideUnknown
		}
		if r.PostFormValue("swap") != "" {
			if found := in.seen.of(f.Name); out[i] == recording.SideUnknown && len(found) == 1 && len(found[0].Sensors) == 1 {
				out[i] = found[0].Sensors[0].Side
			}
			out[i] = out[i].Other()
		}
	}
	return out
}
