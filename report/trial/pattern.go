package trial

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
)

// placeholders are the fields that a pattern may hold; {any} is not kept.
var placeholders = []string{"subject", "session", "condition", "run", "side", "injured", "any"}

// placeholder finds {word} in a pattern.
var placeholder = regexp.MustCompile(`\{([^{}]*)\}`)

// compilePattern turns "{subject}_{side}.csv" into an expression that matches
// a whole name. A placeholder stands for as few characters as will do, at least
// one, and never for a slash. The same placeholder may stand twice only as
// {any}.
func compilePattern(pattern string) (*regexp.Regexp, error) {
	var b strings.Builder
	b.WriteString("^")
	at := 0
	seen := map[string]bool{}
	for _, m := range placeholder.FindAllStringSubmatchIndex(pattern, -1) {
		b.WriteString(regexp.QuoteMeta(pattern[at:m[0]]))
		at = m[1]
		word := pattern[m[2]:m[3]]
		switch {
		case !slices.Contains(placeholders, word):
			return nil, fmt.Errorf("pattern %q: {%s} is not known; use {%s}", pattern, word, strings.Join(placeholders, "}, {"))
		case word == "any":
			b.WriteString(`[^/]+?`)
		case seen[word]:
			return nil, fmt.Errorf("pattern %q: {%s} stands twice", pattern, word)
		default:
			fmt.Fprintf(&b, `(?P<%s>[^/]+?)`, word)
		}
		seen[word] = true
	}
	if !seen["subject"] {
		return nil, fmt.Errorf("pattern %q: {subject} is missing", pattern)
	}
	b.WriteString(regexp.QuoteMeta(pattern[at:]) + "$")
	return regexp.Compile(b.String())
}

// byPattern finds recordings by their names. A pattern with a slash is matched
// against the path below the folder, else against the file's name.
func (p *Plan) byPattern(opt FindOptions) error {
	re, err := compilePattern(opt.Pattern)
	if err != nil {
		return err
	}
	whole := strings.Contains(opt.Pattern, "/")
	var g gather
	err = p.walk(opt.Skip, func(name string) {
		target := name
		if !whole {
			target = path.Base(name)
		}
		if m := re.FindStringSubmatch(target); m != nil {
			p.matched(&g, re, m, name)
		} else if rest, side := splitSide(path.Base(name)); dataFile(name) && rest == referenceName && side == "" {
			p.doubt(name, 0, referenceDoubt)
		} else if dataFile(name) {
			p.doubt(name, 0, "does not fit the pattern %s", opt.Pattern)
		} else {
			p.passOver(name)
		}
	})
	p.Items = g.items
	return err
}

// matched adds a file whose name fits.
func (p *Plan) matched(g *gather, re *regexp.Regexp, m []string, name string) {
	field := func(word string) string {
		if i := re.SubexpIndex(word); i >= 0 {
			return m[i]
		}
		return ""
	}
	side, ok := sideOf(field("side"))
	if !ok {
		p.doubt(name, 0, "%q is not a side; use left or right", field("side"))
		return
	}
	injured, ok := injuredOf(field("injured"))
	if !ok {
		p.doubt(name, 0, "%q is not an injured side; use left, right, both or unknown", field("injured"))
		return
	}
	it := g.add(labels{field("subject"), field("session"), field("condition"), field("run")}, File{Path: name, Side: side})
	p.setInjured(it, injured, name, 0)
}

// setInjured keeps the injured side of a recording, which its files must agree
// on.
func (p *Plan) setInjured(it *Item, injured, path string, line int) {
	if injured == "" || injured == it.Injured {
		return
	}
	if it.Injured != "" {
		p.doubt(path, line, "the injured side is %s here and %s in another row of the same recording; taken as unknown", injured, it.Injured)
		injured = "unknown"
	}
	it.Injured = injured
}

// injuredOf reads an injured side; an empty word and n/a leave it open.
func injuredOf(word string) (string, bool) {
	word = strings.ToLower(strings.TrimSpace(word))
	switch word {
	case "", "n/a":
		return "", true
	case "both", "unknown":
		return word, true
	case "none":
		return "unknown", true
	}
	return sideOf(word)
}
