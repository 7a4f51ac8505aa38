package trial

import (
	"bufio"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// byBIDS finds the recordings of a Motion-BIDS data set (BIDS 1.11, motion).
// Files of several tracking systems with the same subject, session, task and
// run are one recording; those without any accelerometer or gyroscope channel
// are left out, with a doubt.
func (p *Plan) byBIDS() error {
	var g gather
	injured := p.participants()
	err := p.walk([]string{filepath.Join(p.Root, "derivatives"), filepath.Join(p.Root, "sourcedata")}, func(name string) {
		if strings.HasSuffix(name, "_motion.tsv") && strings.HasPrefix(path.Base(name), "sub-") {
			p.motionFile(&g, name, injured)
		}
	})
	p.Items = g.items
	return err
}

// motionFile adds one motion file and those read with it.
func (p *Plan) motionFile(g *gather, name string, injured map[string]string) {
	stem := strings.TrimSuffix(name, "_motion.tsv")
	if !p.hasSensors(stem + "_channels.tsv") {
		p.doubt(name, 0, "left out: %s names no ACCEL or GYRO channel", path.Base(stem)+"_channels.tsv")
		return
	}
	l, ok := entities(path.Base(stem))
	if !ok {
		p.doubt(name, 0, "left out: the name lacks sub- or task-")
		return
	}
	it := g.add(l, File{Path: name})
	for _, suffix := range []string{"_channels.tsv", "_motion.json"} {
		if exists(p.abs(stem + suffix)) {
			it.Files = append(it.Files, File{Path: stem + suffix, Companion: true})
		}
	}
	it.Injured = injured[l.subject]
	if rows, ok := p.countRows(stem + "_events.tsv"); ok {
		it.EventFile, it.Events = path.Base(stem)+"_events.tsv", it.Events+rows
	}
}

// entities reads the labels of a BIDS name. Subject and session keep their
// prefix, as in participants.tsv and sessions.tsv.
func entities(stem string) (labels, bool) {
	var l labels
	for part := range strings.SplitSeq(stem, "_") {
		key, value, _ := strings.Cut(part, "-")
		switch key {
		case "sub":
			l.subject = part
		case "ses":
			l.session = part
		case "task":
			l.condition = value
		case "acq":
			l.condition += "-" + value
		case "run":
			l.run = value
		}
	}
	return l, l.subject != "" && l.condition != ""
}

// tsv calls row with each row of a small BIDS table, by column.
func (p *Plan) tsv(rel string, row func(map[string]string)) bool {
	f, err := os.Open(p.abs(rel))
	if err != nil {
		return false
	}
	defer f.Close()
	var head []string
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		cells := strings.Split(strings.TrimRight(lines.Text(), "\r"), "\t")
		if head == nil {
			cells[0] = strings.TrimPrefix(cells[0], "\ufeff")
			head = cells
			continue
		}
		byName := make(map[string]string, len(head))
		for i := range min(len(head), len(cells)) {
			byName[head[i]] = cells[i]
		}
		row(byName)
	}
	if err := lines.Err(); err != nil {
		p.doubt(rel, 0, "cannot be read: %v", err)
	}
	return true
}

// hasSensors tells whether a channels table has an inertial sensor. A data set
// that keeps its headings elsewhere gets the benefit of the doubt: opening will
// say what is missing.
func (p *Plan) hasSensors(channels string) bool {
	found := false
	there := p.tsv(channels, func(row map[string]string) {
		switch row["type"] {
		case "ACCEL", "GYRO":
			found = true
		}
	})
	return found || !there
}

func (p *Plan) countRows(rel string) (int, bool) {
	n := 0
	ok := p.tsv(rel, func(map[string]string) { n++ })
	return n, ok
}

// participants reads the injured sides of participants.tsv, column injured or
// injured_side.
func (p *Plan) participants() map[string]string {
	const name = "participants.tsv"
	out := map[string]string{}
	p.tsv(name, func(row map[string]string) {
		word := row["injured"]
		if word == "" {
			word = row["injured_side"]
		}
		side, ok := injuredOf(word)
		if !ok {
			p.doubt(name, 0, "%s: %q is not left, right, both or unknown", row["participant_id"], word)
			return
		}
		out[row["participant_id"]] = side
	})
	return out
}
