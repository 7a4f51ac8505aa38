package trial

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"

	"setdown/gait"
	"setdown/signal/recording"
)

// recordSchema names the form of record.json.
const recordSchema = "setdown-record/1"

// Names of the folder of recordings and of the files in each.
const (
	recordingsDir = "recordings"
	recordName    = "record.json"
	stepsName     = "steps.csv"
	sessionName   = "session.json"
	smallPage     = "report.html"
)

// The states of a record.
const (
	stateDone   = "done"
	stateFailed = "failed"
)

// record says what came of one recording. It is written last into the
// recording's folder, so that a folder with a record is whole.
type record struct {
	Schema string `json:"schema"`
	Item
	// Key is the digest of all that the result depends on: settings, version,
	// labels and the bytes of the inputs. Settings is that of the settings alone.
	Key      string `json:"key"`
	Settings string `json:"settings"`
	// Hashes are the inputs in the order of Item.Files.
	Hashes []hashed `json:"inputs"`
	State  string   `json:"state"`
	// Failure says what was wrong where State is failed.
	Failure *failure `json:"failure,omitempty"`
	// Outputs are the other files of the folder with their sizes in bytes.
	Outputs map[string]int64 `json:"outputs"`
}

// hashed is one input's content. SHA256 is "" where it could not be read.
type hashed struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
	Bytes  int64  `json:"bytes"`
}

// failure is an error in a form that can be kept.
type failure struct {
	File    string `json:"file,omitempty"`
	Line    int    `json:"line,omitempty"`
	Message string `json:"message"`
	Hint    string `json:"hint,omitempty"`
}

// recordDir is the folder of a recording below the output folder.
func recordDir(out, id string) string { return filepath.Join(out, recordingsDir, id) }

// readRecord reads and checks a recording's record. ok is false where there is
// none, or its folder is not whole: then the work is to be done again.
func readRecord(out, id string) (*record, bool) {
	text, err := os.ReadFile(filepath.Join(recordDir(out, id), recordName))
	if err != nil {
		return nil, false
	}
	var r record
	if json.Unmarshal(text, &r) != nil || r.Schema != recordSchema || r.ID != id {
		return nil, false
	}
	for name, size := range r.Outputs {
		info, err := os.Stat(filepath.Join(recordDir(out, id), name))
		if err != nil || info.Size() != size {
			return nil, false
		}
	}
	return &r, true
}

// write writes the record into a folder.
func (r *record) write(dir string) error {
	text, err := json.MarshalIndent(r, "", "  ")
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, recordName), append(text, '\n'), 0o666)
}

// hashInputs hashes every file of an item, unless its analysis has done so; res
// may be nil. A file that cannot be read has an empty hash: what is wrong with it
// is said when it is opened.
func hashInputs(p *Plan, it *Item, res *gait.Result) []hashed {
	known := knownHashes(it, res)
	out := make([]hashed, len(it.Files))
	for i, f := range it.Files {
		out[i].Name = path.Base(f.Path)
		if in, ok := known[out[i].Name]; ok {
			out[i].SHA256, out[i].Bytes = in.SHA256, in.Bytes
			continue
		}
		if sum, n, err := hashFile(p.abs(f.Path)); err == nil {
			out[i].SHA256, out[i].Bytes = sum, n
		}
	}
	return out
}

// knownHashes are the hashes of an analysis by file name. Names that two files
// of the item share say nothing.
func knownHashes(it *Item, res *gait.Result) map[string]recording.Input {
	known := map[string]recording.Input{}
	if res == nil {
		return known
	}
	for _, track := range res.Inputs {
		for _, in := range track.Files {
			if in.SHA256 != "" {
				known[in.Name] = in
			}
		}
	}
	seen := map[string]bool{}
	for _, f := range it.Files {
		name := path.Base(f.Path)
		if seen[name] {
			delete(known, name)
		}
		seen[name] = true
	}
	return known
}

func hashFile(name string) (string, int64, error) {
	f, err := os.Open(name)
	if err != nil {
		return "", 0, err
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.Copy(h, f)
	return hex.EncodeToString(h.Sum(nil)), n, err
}

// writeJSON writes a value whole or not at all.
func writeJSON(name string, v any) error {
	text, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return err
	}
	return writeWhole(name, append(text, '\n'))
}

// writeWhole writes a file by way of a temporary one beside it.
func writeWhole(name string, text []byte) error {
	f, err := os.CreateTemp(filepath.Dir(name), tempPrefix+"*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // nothing is left of it after the rename
	_, err = f.Write(text)
	if err := errors.Join(err, f.Chmod(0o644), f.Close()); err != nil {
		return fmt.Errorf("%s: %w", filepath.Base(name), err)
	}
	return os.Rename(f.Name(), name)
}
