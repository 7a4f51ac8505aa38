package trial

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
)

// partsDir holds a file for each time that a part was begun.
const partsDir = "parts"

// attempt is one time that a part was begun.
type attempt struct {
	name string
	// Share in the file's own words.
	Part     int     `json:"part"`
	Of       int     `json:"of"`
	Task     string  `json:"task"`
	Finished bool    `json:"finished"`
	Outcome  Outcome `json:"outcome"`
}

// begin notes that a part is begun; it does nothing for a whole trial.
func begin(opt Options) (*attempt, error) {
	if opt.Share.Whole() {
		return nil, nil
	}
	dir := filepath.Join(opt.Out, partsDir)
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return nil, err
	}
	a := &attempt{Part: opt.Share.Part, Of: opt.Share.Of, Task: opt.Share.Task}
	for n := 1; ; n++ {
		a.name = filepath.Join(dir, fmt.Sprintf("%05d-of-%05d.%d.json", a.Part, a.Of, n))
		f, err := os.OpenFile(a.name, os.O_CREATE|os.O_EXCL, 0o644)
		if errors.Is(err, os.ErrExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		return a, errors.Join(f.Close(), writeJSON(a.name, a))
	}
}

// end notes that the part is finished.
func (a *attempt) end(o Outcome) error {
	if a == nil {
		return nil
	}
	a.Finished, a.Outcome = true, o
	return writeJSON(a.name, a)
}

// joinPlan writes the plan of a part, or checks that the parts begun before it
// had the same.
func joinPlan(p planFile, opt Options) error {
	name := filepath.Join(opt.Out, planName)
	text, err := json.MarshalIndent(p, "", "  ")
	if err != nil {
		return err
	}
	text = append(text, '\n')
	old, err := os.ReadFile(name)
	if err == nil && !bytes.Equal(old, text) && exists(filepath.Join(opt.Out, partsDir)) {
		return fmt.Errorf("%s: other parts were begun with other recordings or settings; give each part the same, or choose a new folder", opt.Out)
	}
	if err == nil && bytes.Equal(old, text) {
		return nil
	}
	return writeWhole(name, text)
}

// attempts reads what is known of the parts. A file that a kill left empty
// counts as begun.
func attempts(out string) ([]attempt, error) {
	names, err := filepath.Glob(filepath.Join(out, partsDir, "*-of-*.*.json"))
	if err != nil {
		return nil, err
	}
	slices.Sort(names)
	var all []attempt
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		var a attempt
		if json.Unmarshal(text, &a) != nil {
			if _, err := fmt.Sscanf(filepath.Base(name), "%d-of-%d.", &a.Part, &a.Of); err != nil {
				return nil, fmt.Errorf("%s: not a note of a part", name)
			}
		}
		all = append(all, a)
	}
	return all, nil
}
