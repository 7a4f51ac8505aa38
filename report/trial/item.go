package trial

import (
	"cmp"
	"fmt"
	"path"
	"slices"
	"strings"

	"setdown/signal/recording"
)

// Item is one recording of a trial: what one person did once, in one file or
// several.
type Item struct {
	// ID is unique in the trial and fit for a file name on every system.
	ID string `json:"recording"`
	// Subject, Session, Condition and Run are the labels as the trial has them;
	// empty where it has none.
	Subject   string `json:"subject"`
	Session   string `json:"session"`
	Condition string `json:"condition"`
	Run       string `json:"run"`
	// Injured is left, right, both or unknown; empty leaves it to the settings.
	Injured string `json:"injured"`
	// Files are the inputs in order.
	Files []File `json:"files"`
	// Events counts the rows of a Motion-BIDS events file, and EventFile names
	// it; events are carried along, not used.
	EventFile string `json:"event_file,omitempty"`
	Events    int    `json:"events,omitempty"`
}

// File is one input file of an item.
type File struct {
	// Path is relative to the trial's folder, with slashes.
	Path string `json:"path"`
	// Side is "left", "right" or "" where the file's name or columns decide.
	Side string `json:"side,omitempty"`
	// Companion marks a file that is read with another one (headings of
	// Motion-BIDS) and not opened by itself.
	Companion bool `json:"companion,omitempty"`
}

// Doubt is something in a trial's folder that was not understood.
type Doubt struct {
	// Path is relative to the trial's folder; Line is 0 where none is meant.
	Path string `json:"path"`
	Line int    `json:"line,omitempty"`
	Text string `json:"text"`
}

// String prints "path:line: text".
func (d Doubt) String() string {
	if d.Line > 0 {
		return fmt.Sprintf("%s:%d: %s", d.Path, d.Line, d.Text)
	}
	return d.Path + ": " + d.Text
}

// Plan is what was found in a trial's folder.
type Plan struct {
	// Root is the folder. It is not part of any file written.
	Root string `json:"-"`
	// How says how recordings were found: "Motion-BIDS", "manifest", "pattern"
	// or "file names".
	How string `json:"found_by"`
	// Pattern is that of the names, "" where they were found otherwise.
	Pattern string `json:"pattern,omitempty"`
	// Items are sorted by ID.
	Items []Item `json:"recordings"`
	// Doubts are what was not understood, sorted by path and line.
	Doubts []Doubt `json:"not_understood"`
}

// labels are what tells recordings apart.
type labels struct{ subject, session, condition, run string }

// gather makes items of files with labels: files with the same labels are one
// recording.
type gather struct {
	index map[labels]int
	items []Item
}

// add puts a file to its recording and returns that.
func (g *gather) add(l labels, f File) *Item {
	if g.index == nil {
		g.index = map[labels]int{}
	}
	i, ok := g.index[l]
	if !ok {
		i = len(g.items)
		g.index[l] = i
		g.items = append(g.items, Item{Subject: l.subject, Session: l.session, Condition: l.condition, Run: l.run})
	}
	g.items[i].Files = append(g.items[i].Files, f)
	return &g.items[i]
}

// name gives every item an ID made of its labels, each once, and sorts.
func (p *Plan) name() {
	byLabels := func(a, b Item) int {
		return cmp.Or(cmp.Compare(a.Subject, b.Subject), cmp.Compare(a.Session, b.Session),
			cmp.Compare(a.Condition, b.Condition), cmp.Compare(a.Run, b.Run))
	}
	slices.SortStableFunc(p.Items, byLabels)
	// File systems of two large families tell names apart without regard to case.
	taken := map[string]bool{}
	for i := range p.Items {
		base := p.Items[i].baseID()
		id := base
		for n := 2; taken[strings.ToLower(id)]; n++ {
			id = fmt.Sprintf("%s_%d", base, n)
		}
		taken[strings.ToLower(id)] = true
		p.Items[i].ID = id
	}
	slices.SortFunc(p.Items, func(a, b Item) int { return cmp.Compare(a.ID, b.ID) })
	slices.SortStableFunc(p.Doubts, func(a, b Doubt) int {
		return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Text, b.Text))
	})
}

// baseID joins the labels, as Motion-BIDS does.
func (it *Item) baseID() string {
	var parts []string
	for _, p := range []struct{ key, value string }{
		{"sub", it.Subject}, {"ses", it.Session}, {"task", it.Condition}, {"run", it.Run},
	} {
		value := strings.TrimPrefix(p.value, p.key+"-")
		if value = plainName(value); value != "" {
			parts = append(parts, p.key+"-"+value)
		}
	}
	if len(parts) == 0 {
		return "recording"
	}
	return strings.Join(parts, "_")
}

// maxLabel is how many bytes of a label enter a file name: four labels stay
// below the 255 that file systems allow.
const maxLabel = 48

// plainName keeps letters, digits and hyphens of a label.
func plainName(label string) string {
	plain := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9':
			return r
		}
		return '-'
	}, label)
	plain = strings.Trim(plain, "-")
	return plain[:min(len(plain), maxLabel)]
}

// sideWords are the spellings of a side in manifests, patterns and names: in English, and
// whole words of the languages whose headings are read.
var sideWords = map[string]recording.Side{
	"left": recording.Left, "l": recording.Left, "lt": recording.Left, "lf": recording.Left,
	"right": recording.Right, "r": recording.Right, "rt": recording.Right, "rf": recording.Right,
	"links": recording.Left, "gauche": recording.Left, "izquierda": recording.Left, "izquierdo": recording.Left, "sinistra": recording.Left, "sinistro": recording.Left,
	"rechts": recording.Right, "droite": recording.Right, "derecha": recording.Right, "derecho": recording.Right, "destra": recording.Right, "destro": recording.Right,
	"lewa": recording.Left, "lewy": recording.Left, "esquerda": recording.Left, "esquerdo": recording.Left, "vänster": recording.Left, "venstre": recording.Left,
	"prawa": recording.Right, "prawy": recording.Right, "direita": recording.Right, "direito": recording.Right, "höger": recording.Right, "højre": recording.Right, "høyre": recording.Right,
}

// sideOf reads a side word; an empty word leaves the side open.
func sideOf(word string) (side string, ok bool) {
	word = strings.ToLower(strings.TrimSpace(word))
	if word == "" {
		return "", true
	}
	s, ok := sideWords[word]
	if !ok {
		return "", false
	}
	return s.String(), true
}

// side returns the side as the recording package has it.
func (f File) side() recording.Side {
	switch f.Side {
	case recording.Left.String():
		return recording.Left
	case recording.Right.String():
		return recording.Right
	}
	return recording.SideUnknown
}

// otherKinds are ends of names of files that may hold a recording in a form that
// is not read.
var otherKinds = []string{".xlsx", ".xls", ".ods", ".fit", ".gpx", ".tcx", ".mat"}

// passOver doubts a file that may have been meant as a recording but is none that
// is read: a folder of workbooks would else look like an empty one.
func (p *Plan) passOver(name string) {
	if ext := strings.ToLower(path.Ext(name)); slices.Contains(otherKinds, ext) {
		p.doubt(name, 0, "left out: %s files are not read; save the recording as CSV", ext)
	}
}

// dataFile tells whether a name looks like a recording's.
func dataFile(name string) bool {
	lower := strings.ToLower(path.Base(name))
	lower = strings.TrimSuffix(strings.TrimSuffix(lower, ".gz"), ".zip")
	switch path.Ext(lower) {
	case ".csv", ".tsv", ".txt":
		return true
	}
	return lower != strings.ToLower(path.Base(name)) // a bare .zip or .gz
}
