package recording

import (
	"fmt"
	"strings"

	"setdown/signal/remark"
)

// tally counts what happens many times in one file, so that it becomes one
// remark with a count and its first place.
type tally struct {
	order []string
	items map[string]*remark.Remark
}

// add counts one occurrence. A "%d" in text becomes the count.
func (t *tally) add(code string, level remark.Level, at remark.Place, text string) {
	t.addN(code, level, at, text, 1)
}

func (t *tally) addN(code string, level remark.Level, at remark.Place, text string, n int) {
	if t == nil {
		return
	}
	if r, ok := t.items[code]; ok {
		r.Count += n
		return
	}
	if t.items == nil {
		t.items = map[string]*remark.Remark{}
	}
	t.items[code] = &remark.Remark{Code: code, Level: level, Place: at, Count: n, Text: text}
	t.order = append(t.order, code)
}

// flush appends the remarks to rs in the order of their first occurrence.
func (t *tally) flush(rs *remark.List) {
	if rs == nil {
		return
	}
	for _, code := range t.order {
		r := *t.items[code]
		if strings.Contains(r.Text, "%d") {
			r.Text = fmt.Sprintf(r.Text, r.Count)
		}
		rs.Append(r)
	}
}
