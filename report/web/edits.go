package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/estimate"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/signal/remark"
)

// edit leaves one step or a span out by hand.
type edit struct {
	Side string `json:"side"` // left, right, or both for a span
	// Number is the step's number on its side; 0 for a span.
	Number int `json:"step,omitempty"`
	// From and To are s on the recording's axis; both ends belong to the span.
	From float64   `json:"from_s"`
	To   float64   `json:"to_s"`
	Made time.Time `json:"made"`
}

// String says it in words.
func (e edit) String() string {
	if e.Number > 0 {
		return fmt.Sprintf("%s step %d (at %.2f s)", e.Side, e.Number, e.From)
	}
	which := "both sides"
	if e.Side != "both" {
		which = "the " + e.Side + " side"
	}
	return fmt.Sprintf("%.2f to %.2f s on %s", e.From, e.To, which)
}

func (e edit) covers(s *step.Step) bool {
	if e.Side != "both" && e.Side != s.Side.String() {
		return false
	}
	if e.Number > 0 {
		return s.Number == e.Number
	}
	return s.InitialContact >= e.From && s.InitialContact <= e.To
}

func (s *Server) readEdits(key string) ([]edit, error) {
	text, err := s.cfg.Folder.ReadFile(edited + "/" + key + ".json")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var out []edit
	return out, json.Unmarshal(text, &out)
}

func (s *Server) writeEdits(key string, all []edit) error {
	text, err := json.MarshalIndent(all, "", " ")
	if err != nil {
		return err
	}
	return writeWhole(s.cfg.Folder, edited+"/"+key+".json", func(f *os.File) error {
		_, err := f.Write(text)
		return err
	})
}

// byHand is the reason of a step that was left out by hand.
const byHand = "left out by hand"

// without makes the result anew without the steps that were left out: the same
// summary and comparison as in an analysis, over the other steps.
func without(base *gait.Result, edits []edit) *gait.Result {
	if len(edits) == 0 {
		return base
	}
	res := *base
	res.Steps = append([]step.Step(nil), base.Steps...)
	n := leaveStepsOut(res.Steps, edits)
	summarise(&res)
	var list remark.List
	list.Append(base.Remarks...)
	list.Add(remark.Loss, "left-out-by-hand", remark.In(""), "steps left out by hand: %d", n)
	res.Remarks = list.Sorted()
	res.Choices = append([]gait.Choice(nil), base.Choices...)
	for _, e := range edits {
		res.Choices = append(res.Choices, gait.Choice{What: byHand, Value: e.String()})
	}
	return &res
}

// leaveStepsOut leaves the steps out that the edits cover, and counts them.
func leaveStepsOut(steps []step.Step, edits []edit) int {
	n := 0
	for i := range steps {
		st := &steps[i]
		for _, e := range edits {
			if st.Used && e.covers(st) {
				st.LeaveOut(byHand)
				n++
			}
		}
	}
	return n
}

// summarise makes summary and comparison anew from the steps, as an analysis does; who
// is injured, and how the recordings lie together, is as before.
func summarise(res *gait.Result) {
	cfg := estimate.Config{Seed: res.Seed}
	res.Session = session.Summarise(res.Steps, cfg)
	set := asymmetry.Settings{Estimate: cfg, SameRecording: res.Together.Comparable, Simultaneous: res.Together.Simultaneous, OtherwiseBecause: res.Together.Because, Injured: res.Injured}
	res.Asymmetry = asymmetry.Compare(res.Session, res.Steps, set)
	if set.Simultaneous {
		asymmetry.Within(res.Asymmetry, res.Steps, set)
	}
}
