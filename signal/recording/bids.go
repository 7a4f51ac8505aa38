package recording

import (
	"encoding/json"
	"io"
	"path"
	"strings"

	"setdown/signal/unit"
)

// Names of the files of a Motion-BIDS recording (Brain Imaging Data Structure,
// Motion extension; Jeung et al., 2024, Sci Data 11, 716): the table has no
// heading; its columns are described in a file beside it.
const (
	bidsMotion   = "_motion.tsv"
	bidsChannels = "_channels.tsv"
	bidsJSON     = "_motion.json"
)

// companion tells whether a source only describes a Motion-BIDS recording that
// is also given.
func companion(src Source, all []Source) bool {
	if !strings.HasSuffix(src.Name, ".json") && !strings.HasSuffix(src.Name, bidsChannels) && !strings.HasSuffix(src.Name, "_events.tsv") &&
		!strings.HasSuffix(src.Name, "_scans.tsv") && src.Name != "participants.tsv" {
		return false
	}
	for _, s := range all {
		if strings.HasSuffix(s.Name, bidsMotion) {
			return true
		}
	}
	return false
}

// bids reads the headings of a Motion-BIDS recording from the files beside it.
// It does nothing for other files.
func (l *layout) bids(all []Source) error {
	base := path.Base(l.f.name)
	stem, ok := strings.CutSuffix(base, bidsMotion)
	if !ok || l.s.names != nil {
		return nil
	}
	data, err := l.f.sibling(stem+bidsChannels, all)
	if err != nil {
		return fault(l.f.name, 0, "its columns are described in %s, which is missing", stem+bidsChannels).
			hint("put the file beside it, or give both")
	}
	l.takeChannels(data)
	if len(l.s.names) != l.s.columns {
		return fault(l.f.name, 1, "has %d columns, but %s describes %d", l.s.columns, stem+bidsChannels, len(l.s.names))
	}
	if data, err := l.f.sibling(stem+bidsJSON, all); err == nil {
		l.takeRate(data)
	}
	return nil
}

// takeChannels takes name and heading of each column from the channels file, which
// has a line a column.
func (l *layout) takeChannels(data []byte) {
	lines := strings.Split(strings.ReplaceAll(string(data), "\r", ""), "\n")
	head := strings.Split(lines[0], "\t")
	var cells [][]byte
	for _, line := range lines[1:] {
		if line == "" {
			continue
		}
		cells = splitCells(cells[:0], []byte(line), '\t')
		row := map[string]string{}
		for i, c := range cells {
			if i < len(head) {
				row[head[i]] = string(c)
			}
		}
		l.s.names = append(l.s.names, row["name"])
		l.described = append(l.described, describe(row))
	}
}

// takeRate takes the sampling rate from the file that describes the whole recording:
// the rate that was measured rather than the one that was set.
func (l *layout) takeRate(data []byte) {
	var about struct{ SamplingFrequency, SamplingFrequencyEffective float64 }
	if json.Unmarshal(data, &about) != nil {
		return
	}
	if l.rate = about.SamplingFrequencyEffective; l.rate <= 0 {
		l.rate = about.SamplingFrequency
	}
}

// describe turns a line of the channels file into a heading.
func describe(row map[string]string) heading {
	sensor := map[string]string{"ACCEL": "acc", "GYRO": "gyr", "LATENCY": "time"}[row["type"]]
	if sensor == "" {
		return heading{role: roleUnused}
	}
	h := readHeading(row["tracked_point"] + " " + row["placement"] + " " + sensor + " " + row["component"])
	if sensor == "time" {
		h = heading{role: roleTime}
	}
	h.device = ""
	if u, ok := unit.Parse(row["units"]); ok {
		h.takeUnit([]unit.Unit{u})
	}
	if h.side == SideUnknown && h.site == SiteUnknown {
		h.device = row["tracked_point"]
	}
	return h
}

// sibling reads a file that stands beside f: among the sources, in its folder or
// in its archive.
func (f *file) sibling(name string, all []Source) ([]byte, error) {
	open := f.src.Sibling
	for _, s := range all {
		if s.Name == name {
			open = func(string) (io.ReadCloser, error) { return s.Open() }
		}
	}
	if f.packed == zipped {
		g := &file{src: f.src, name: name, member: path.Join(path.Dir(f.member), name), packed: zipped}
		open = func(string) (io.ReadCloser, error) { return g.open() }
	}
	if open == nil {
		return nil, errNoSibling
	}
	r, err := open(name)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	return io.ReadAll(io.LimitReader(r, MaxLine))
}
