package diary

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// signWords are words of notes that belong to a question of the checklist, as
// beginnings of words; several stand one after the other with at most two words
// between ("calf is still swollen"). The project's own list, English only: it can
// ask, and it can miss. Nothing may be concluded from a note without them.
var signWords = []struct {
	of    Symptom
	words []string
}{
	{SeverePain, []string{"severe", "unbearabl", "excruciat", "agony", "worst pain", "fell", "fall", "fallen", "blow", "kicked"}},
	{PaleOrColdFoot, []string{"pale", "cold foot", "foot cold", "cold toe", "toe cold", "bluish"}},
	{BreathlessOrChestPain, []string{"breathless", "short breath", "chest"}},
	{BackSaddleBladder, []string{"bladder", "saddle", "incontinen"}},
	{DarkUrine, []string{"urine", "dark pee", "brown pee"}},
	{FootCannotBeLifted, []string{"foot drop", "drop foot", "dropped foot", "dropfoot", "footdrop", "cannot lift", "cant lift", "could not lift",
		"couldnt lift", "unable lift", "drags", "dragging", "tripp", "stumbl"}},
	{NewSlap, []string{"slap"}},
	{SwollenCalf, []string{"swell", "swollen", "swelled", "puffy"}},
	{FeverOrRedness, []string{"fever", "redness", "red leg", "red shin", "chills", "shiver"}},
	{SnapWithWeakness, []string{"snap", "popped", "heard pop", "felt pop"}},
	{BoneSpot, []string{"bone", "bony", "shinbone"}},
	{NightOrRestPain, []string{"night pain", "pain night", "hurt night", "ache night", "aching night", "throb night", "sore night", "woke", "wakes", "waking", "at rest", "while rest",
		"when rest", "even rest", "lying", "in bed"}},
	{NumbOrTight, []string{"numb", "tingl", "pins needles", "prickl", "tight", "no feeling", "lost feeling", "asleep", "went sleep", "cramp"}},
}

// denials turn the word after them into its opposite; "or" and "nor" carry on.
var denials = []string{"no", "not", "without", "never"}

// between is how many other words may stand inside a phrase.
const between = 2

// noteSigns returns the questions that a note speaks of, with its own words.
func noteSigns(note string) map[Symptom]string {
	words := wordsOf(note)
	var found map[Symptom]string
	for _, s := range signWords {
		for _, phrase := range s.words {
			if at, end := findPhrase(words, strings.Fields(phrase)); end > 0 && found[s.of] == "" {
				if found == nil {
					found = map[Symptom]string{}
				}
				found[s.of] = strings.Join(words[at:end], " ")
			}
		}
	}
	return found
}

// wordsOf cuts a note into words of letters in lower case; an apostrophe is left
// out, so that "can't" and "cant" are one word.
func wordsOf(note string) []string {
	note = strings.NewReplacer("'", "", "’", "").Replace(strings.ToLower(note))
	return strings.FieldsFunc(note, func(r rune) bool { return !unicode.IsLetter(r) })
}

// findPhrase finds a phrase that is not denied: words[at:end], end 0 if none.
func findPhrase(words, phrase []string) (at, end int) {
	for i := range words {
		if !strings.HasPrefix(words[i], phrase[0]) || denied(words, i) {
			continue
		}
		next := i + 1
		for _, p := range phrase[1:] {
			near := words[next:min(len(words), next+between+1)]
			k := slices.IndexFunc(near, func(w string) bool { return strings.HasPrefix(w, p) })
			if k < 0 {
				next = 0
				break
			}
			next += k + 1
		}
		if next > 0 {
			return i, next
		}
	}
	return 0, 0
}

// denied tells whether the i-th word follows a denial, straight or through "or":
// "no numbness or tingling". "no more numbness" is not one: there was some.
func denied(words []string, i int) bool {
	for i > 0 {
		if slices.Contains(denials, words[i-1]) {
			return true
		}
		if i < 2 || words[i-1] != "or" && words[i-1] != "nor" {
			return false
		}
		i -= 2
	}
	return false
}

// noteRule asks about a sign that a note speaks of while the checklist of its
// page says no or nothing. As long as the newest note says it, the answer is
// missing; a note put otherwise still counts for 14 days.
func noteRule(v *view) []Reason {
	var out []Reason
	for _, p := range v.within(0, JudgedDays-1) {
		for s := range symptomCount {
			if said := v.saidOf(p, s); said != "" {
				_, still := noteSigns(p.Note)[s]
				out = append(out, noteReason(p, s, said, still))
			}
		}
	}
	return out
}

// saidOf returns the words with which any unreleased version of the page's note
// speaks of s, "" where none does or the question was answered yes.
func (v *view) saidOf(p page, s Symptom) string {
	said := ""
	for _, e := range p.versions {
		if e.Checklist[s] == Yes {
			return ""
		}
		if words := noteSigns(e.Note)[s]; words != "" && !v.released(e.Seq, p.Date, nil) {
			said = words
		}
	}
	return said
}

func noteReason(p page, s Symptom, said string, still bool) Reason {
	r := Reason{Rule: "note", Word: Hold, Missing: still, Entries: []Cited{p.cite("note", said)}}
	if still {
		r.Text = fmt.Sprintf("Your note of %s says “%s”, which the rules cannot judge. Was it so: %s Then answer that question yes. If it was not, say so in the note (“no %s”).", p.Date, said, Symptoms[s].Ask, said)
		return r
	}
	r.Text = fmt.Sprintf("Your note of %s said “%s” before it was changed: no more than the last run until 14 days have passed.", p.Date, said)
	return r
}
