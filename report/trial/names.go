package trial

import (
	"cmp"
	"path"
	"regexp"
	"slices"
	"strings"
	"time"
)

// siteWords are words of a file name that say where the sensor sat and do not
// tell recordings apart.
var siteWords = []string{"foot", "shoe", "shin", "shank", "tibia"}

// What stands beside a recording of the simulator, and why it is left out.
const (
	referenceName  = "truth"
	referenceDoubt = "left out: the name is that of reference events, not of a recording"
)

// byNames finds recordings without any help: files in one folder whose names
// differ in a left or right only are the two feet of one recording; a file
// without a side stands alone. Of what is left of the path, a date and the words
// of the open BIDS standard are labels, and the rest is the subject.
func (p *Plan) byNames(opt FindOptions) error {
	var g gather
	err := p.walk(opt.Skip, func(name string) {
		if !dataFile(name) {
			p.passOver(name)
			return
		}
		rest, side := splitSide(path.Base(name))
		if rest == referenceName && side == "" {
			p.doubt(name, 0, referenceDoubt)
			return
		}
		subject := path.Join(path.Dir(name), rest)
		if rest == "" {
			subject = path.Dir(name)
		}
		if subject == "." {
			subject = ""
		}
		g.add(labelsIn(subject), File{Path: name, Side: side})
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

// In a path without its side, words are parted by underscores and slashes.
var (
	dateIn     = regexp.MustCompile(`(?:^|[/_])((?:19|20)\d\d[-_.]?\d\d[-_.]?\d\d)(?:$|[/_])`)
	labelWords = map[string]*regexp.Regexp{"sub": labelWord("sub"), "ses": labelWord("ses"), "task": labelWord("task"), "run": labelWord("run")}
)

// labelWord matches a label as BIDS writes it: a key, a hyphen and letters or digits.
func labelWord(key string) *regexp.Regexp {
	return regexp.MustCompile(`(?:^|[/_])` + key + `[-_]([0-9A-Za-z]+)(?:$|[/_])`)
}

// labelsIn takes the labels out of what is left of a path. A date is the session
// where no other is named: of two dates none.
func labelsIn(rest string) labels {
	take := func(words *regexp.Regexp) (value string) {
		if at := words.FindStringSubmatchIndex(rest); at != nil {
			value = rest[at[2]:at[3]]
			rest = strings.Trim(rest[:at[0]]+"_"+rest[at[1]:], "_/")
		}
		return value
	}
	l := labels{subject: take(labelWords["sub"]), session: take(labelWords["ses"]), condition: take(labelWords["task"]), run: take(labelWords["run"])}
	if whole := rest; l.session == "" {
		day, err := time.Parse("20060102", strings.Map(digitsOnly, take(dateIn)))
		if err == nil && !dateIn.MatchString(rest) {
			l.session = day.Format(time.DateOnly)
		} else {
			rest = whole
		}
	}
	switch {
	case l.subject != "" && rest != "":
		l.subject += "_" + rest // what is not understood still tells recordings apart
	case l.subject == "":
		l.subject = cmp.Or(rest, "1")
	}
	return l
}

// digitsOnly is for strings.Map.
func digitsOnly(r rune) rune {
	if r < '0' || r > '9' {
		return -1
	}
	return r
}
