package trial

import (
	"bufio"
	"encoding/json"
	"errors"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"setdown/report/table"
)

// bidsVersion is the version of the standard that the derivatives follow.
const bidsVersion = "1.10.0"

// derivative writes a BIDS derivative data set: for each recording an events
// file with a row a step. A nil derivative does nothing.
type derivative struct {
	dir  string
	set  written
	file *os.File
	buf  *bufio.Writer
	name string // of the file being written, without ending
}

// newDerivative begins the data set in dir.
func newDerivative(dir string, plan *Plan, set written) (*derivative, error) {
	d := &derivative{dir: filepath.Join(dir, "setdown"), set: set}
	if err := os.MkdirAll(d.dir, 0o777); err != nil {
		return nil, err
	}
	description := map[string]any{
		"Name": "Steps found by setdown", "BIDSVersion": bidsVersion, "DatasetType": "derivative",
		"GeneratedBy": []map[string]string{{"Name": "setdown", "Version": set.Version, "Description": "Method " + set.Method + ", seed " + strconv.FormatUint(set.Seed, 10)}},
	}
	readme := "Steps of each recording as events: onset is initial contact, duration is contact time, one row a step of\n" +
		"either foot in time order. The columns are those of steps.csv and are described, with their units, in the JSON\n" +
		"file beside each table. How the steps were found, with every setting and source, is in methods.md, and which\n" +
		"recordings to distrust in quality.html, in the folder that holds this one.\n"
	subjects := map[string]bool{}
	participants := "participant_id\n"
	for i := range plan.Items {
		if s := plan.Items[i].Subject; !subjects[s] {
			subjects[s] = true
			participants += s + "\n"
		}
	}
	return d, errors.Join(
		writeJSON(filepath.Join(d.dir, "dataset_description.json"), description),
		writeWhole(filepath.Join(d.dir, "README"), []byte(readme)),
		writeWhole(filepath.Join(d.dir, "participants.tsv"), []byte(participants)))
}

// stem is the path, below the data set, of a recording's files without suffix.
func (d *derivative) stem(r *result) string {
	first := r.record.Files[0].Path
	base := strings.TrimSuffix(path.Base(first), "_motion.tsv")
	return path.Join(path.Dir(first), base+"_desc-steps")
}

// start opens the recording's events file.
func (d *derivative) start(r *result) error {
	d.name = filepath.Join(d.dir, filepath.FromSlash(d.stem(r)))
	if err := os.MkdirAll(filepath.Dir(d.name), 0o777); err != nil {
		return err
	}
	var err error
	if d.file, err = os.Create(d.name + "_events.tsv"); err != nil {
		return err
	}
	d.buf = bufio.NewWriter(d.file)
	_, err = d.buf.WriteString("onset\tduration\ttrial_type\t" + strings.Join(table.Columns(), "\t") + "\n")
	return err
}

// step writes one step, a row of steps.csv.
func (d *derivative) step(r *result, row []string) error {
	if d == nil {
		return nil
	}
	if d.file == nil {
		if err := d.start(r); err != nil {
			return err
		}
	}
	at := func(name string) string { return row[slices.Index(table.Columns(), name)] }
	cells := append([]string{at("initial_contact_s"), at("contact_time_s"), at("side") + "_step"}, row...)
	for i, c := range cells {
		if c == "" {
			cells[i] = "n/a"
		}
		cells[i] = strings.NewReplacer("\t", " ", "\n", " ", "\r", " ").Replace(cells[i])
	}
	_, err := d.buf.WriteString(strings.Join(cells, "\t") + "\n")
	return err
}

// end closes the recording's events file and describes its columns.
func (d *derivative) end(r *result) error {
	if d == nil {
		return nil
	}
	if d.file == nil {
		if err := d.start(r); err != nil {
			return err
		}
	}
	text, err := json.MarshalIndent(d.sidecar(r), "", "  ")
	err = errors.Join(err, d.buf.Flush(), d.file.Close(), writeWhole(d.name+"_events.json", append(text, '\n')))
	d.file, d.buf = nil, nil
	return err
}

// bidsColumn describes a column in a sidecar.
type bidsColumn struct {
	LongName    string            `json:"LongName,omitempty"`
	Description string            `json:"Description"`
	Units       string            `json:"Units,omitempty"`
	Levels      map[string]string `json:"Levels,omitempty"`
}

// sidecar describes the columns of an events file.
func (d *derivative) sidecar(r *result) map[string]any {
	out := map[string]any{
		"onset":      bidsColumn{"Initial contact", "Time of initial contact on the recording's own axis", "s", nil},
		"duration":   bidsColumn{"Contact time", "Time from initial contact to toe-off; n/a where toe-off was not found", "s", nil},
		"trial_type": bidsColumn{"Event", "What happened", "", map[string]string{"left_step": "the left foot landed", "right_step": "the right foot landed"}},
	}
	for _, c := range stepColumns() {
		out[c.Name] = bidsColumn{c.Title, c.Description, c.Unit, nil}
	}
	return out
}
