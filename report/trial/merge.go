package trial

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// LostError says which parts of a trial are not there.
type LostError struct {
	// Parts describes each lost part in a line, with the command that does it.
	Parts []string
	// Missing are the IDs of the recordings without a result.
	Missing []string
}

// namedLost is how many recordings an error names.
const namedLost = 5

// Error names the parts and the first recordings.
func (e *LostError) Error() string {
	names := strings.Join(e.Missing[:min(len(e.Missing), namedLost)], ", ")
	if more := len(e.Missing) - namedLost; more > 0 {
		names += fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(append([]string{fmt.Sprintf("%d recordings have no result: %s", len(e.Missing), names)}, e.Parts...), "; ")
}

// Merge joins the parts in an output folder into what a run of the whole trial
// writes. A part that is lost is a *LostError and leaves the folder as it is; a
// part that was done twice, or by another one, is named in notes.
func Merge(ctx context.Context, out string) (outcome Outcome, notes []string, err error) {
	p, err := readPlan(out)
	if err != nil {
		return outcome, nil, err
	}
	free, err := lock(out, false)
	if err != nil {
		return outcome, nil, err
	}
	defer free()
	all, err := attempts(out)
	if err != nil {
		return outcome, nil, err
	}
	missing := p.missing(out)
	notes, err = judge(p.Plan, all, missing)
	if err != nil {
		return outcome, notes, err
	}
	if err := clear(out); err != nil {
		return outcome, notes, err
	}
	if outcome, err = assemble(ctx, out); err != nil {
		return outcome, notes, err
	}
	return outcome, notes, os.RemoveAll(filepath.Join(out, partsDir))
}

// readPlan reads the plan of an output folder.
func readPlan(out string) (planFile, error) {
	p := planFile{Plan: &Plan{}}
	text, err := os.ReadFile(filepath.Join(out, planName))
	if err != nil {
		return p, fmt.Errorf("%s: no trial was begun in it: %w", out, cause(err))
	}
	if err := json.Unmarshal(text, &p); err != nil {
		return p, fmt.Errorf("%s: %w", planName, err)
	}
	if p.Schema != planSchema {
		return p, fmt.Errorf("%s: schema is %q, this version reads %q", planName, p.Schema, planSchema)
	}
	return p, nil
}

// missing are the indices of the items without a result of these settings.
func (p planFile) missing(out string) map[int]bool {
	settings := digest(p.Settings)
	none := map[int]bool{}
	for i := range p.Items {
		if r, ok := readRecord(out, p.Items[i].ID); !ok || r.Settings != settings {
			none[i] = true
		}
	}
	return none
}

// judge compares the parts that were begun with the recordings that are there.
func judge(plan *Plan, all []attempt, missing map[int]bool) (notes []string, err error) {
	lost := &LostError{}
	for i := range plan.Items {
		if missing[i] {
			lost.Missing = append(lost.Missing, plan.Items[i].ID)
		}
	}
	for _, of := range splits(all) {
		for k := 1; k <= min(of, len(plan.Items)); k++ { // the parts after that have no recording
			share := Share{Part: k, Of: of}
			note, gone := share.judge(all, missing)
			if gone {
				lost.Parts = append(lost.Parts, note)
			} else if note != "" {
				notes = append(notes, note)
			}
		}
	}
	if len(lost.Missing) > 0 {
		return notes, lost
	}
	return notes, nil
}

// splits are the numbers of parts that were used, in order of appearance.
func splits(all []attempt) []int {
	var out []int
	seen := map[int]bool{}
	for _, a := range all {
		if !seen[a.Of] {
			seen[a.Of] = true
			out = append(out, a.Of)
		}
	}
	return out
}

// attempts counts how often a part was begun and finished, and names it with the tasks
// of the cluster that did it.
func (s Share) attempts(all []attempt) (begun, finished int, who string) {
	var tasks []string
	for _, a := range all {
		if a.Part != s.Part || a.Of != s.Of {
			continue
		}
		begun++
		if a.Task != "" {
			tasks = append(tasks, a.Task)
		}
		if a.Finished {
			finished++
		}
	}
	if len(tasks) == 0 {
		return begun, finished, s.String()
	}
	return begun, finished, s.String() + " (" + strings.Join(tasks, ", ") + ")"
}

// judge says what is odd about one part, and whether it is lost.
func (s Share) judge(all []attempt, missing map[int]bool) (note string, lost bool) {
	begun, finished, who := s.attempts(all)
	gone := 0
	for i := range missing {
		if s.Has(i) {
			gone++
		}
	}
	switch {
	case gone > 0 && begun == 0:
		return fmt.Sprintf("%s was never begun: %d recordings; do it with --part %d/%d", who, gone, s.Part, s.Of), true
	case gone > 0 && finished == 0:
		return fmt.Sprintf("%s was begun and not finished: %d recordings; do it again with --part %d/%d", who, gone, s.Part, s.Of), true
	case gone > 0:
		return fmt.Sprintf("%s was finished but %d of its results are gone or damaged; do it again with --part %d/%d", who, gone, s.Part, s.Of), true
	case finished > 1:
		return fmt.Sprintf("%s was done %d times; the results are the same", who, finished), false
	case begun > 0 && finished == 0:
		return who + " was begun and not finished, but another task did its recordings", false
	case begun == 0:
		return who + " was never begun, but another task did its recordings", false
	}
	return "", false
}
