package trial

import (
	"path"
	"slices"
	"strings"
)

// siteWords are words of a file name that say where the sensor sat and do not
// tell recordings apart.
var siteWords = []string{"foot", "shoe", "shin", "shank", "tibia"}

// byNames finds recordings without any help: files in one folder whose names
// differ in a left or right only are the two feet of one recording; a file
// without a side stands alone. What is left of the path is the subject.
func (p *Plan) byNames(opt FindOptions) error {
	var g gather
	err := p.walk(opt.Skip, func(name string) {
		if !dataFile(name) {
			return
		}
		rest, side := splitSide(path.Base(name))
		if rest == "truth" && side == "" {
			p.doubt(name, 0, "left out: the name is that of reference events, not of a recording")
			return
		}
		subject := path.Join(path.Dir(name), rest)
		if rest == "" {
			subject = path.Dir(name)
		}
		if subject == "." {
			subject = "1"
		}
		g.add(labels{subject: subject}, File{Path: name, Side: side})
	})
	p.Items = g.items
	return err
}

// splitSide takes the side word, and the site's beside it, out of a name.
func splitSide(base string) (rest, side string) {
	name := base
	for ext := path.Ext(name); ext != "" && dataFile("x"+ext); ext = path.Ext(name) {
		name = strings.TrimSuffix(name, ext)
	}
	words := strings.FieldsFunc(name, func(r rune) bool { return strings.ContainsRune("_-. ", r) })
	at := slices.IndexFunc(words, func(w string) bool { _, ok := sideWords[strings.ToLower(w)]; return ok })
	if at < 0 {
		return name, ""
	}
	side, _ = sideOf(words[at])
	words = slices.Delete(words, at, at+1)
	words = slices.DeleteFunc(words, func(w string) bool { return slices.Contains(siteWords, strings.ToLower(w)) })
	return strings.Join(words, "_"), side
}
