package web

import (
	"fmt"
	"html"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// roleNames are the columns of the simulated files in order.
var roleNames = []string{"time", "acc_x", "acc_y", "acc_z", "gyr_x", "gyr_y", "gyr_z"}

// columnFields fills in the columns of the n-th group of an input check.
func columnFields(f url.Values, n int, gyr string) {
	for i, role := range roleNames {
		unit := "g"
		switch {
		case i == 0:
			unit = "s"
		case i > 3:
			unit = gyr
		}
		f.Set(field("role", n, i+1), role)
		f.Set(field("unit", n, i+1), unit)
	}
}

// lie is a heading that claims rad/s over values in deg/s.
const lie = "time (s),acc x (g),acc y (g),acc z (g),gyr x (rad/s),gyr y (rad/s),gyr z (rad/s)"

// corrected reads an upload again with corrections, computes it and returns the
// session's numbers, once as they are and once computed again from what is kept.
func (a *app) corrected(path string, fields url.Values) string {
	a.t.Helper()
	require.Equal(a.t, 303, a.post(path+"/read", fields).status)
	a.settled(path)
	has(a.t, a.ok(path), "Is this right?")
	require.Equal(a.t, 303, a.post(path+"/compute", newCase("Ann")).status)
	to, _, _ := strings.Cut(a.settled(path).Next, "?")
	require.NotEmpty(a.t, to)
	got := a.numbers(to)
	a.server.results.last = nil
	require.NoError(a.t, a.server.cfg.Folder.RemoveAll(kept))
	require.NoError(a.t, a.server.cfg.Folder.Mkdir(kept, 0o700))
	require.Equal(a.t, got, a.numbers(to), "the corrections are kept with the session")
	return got
}

func TestAMixedPairIsCorrectedFileByFile(t *testing.T) {
	files := feet(60, 0.3, 1)
	b := newApp(t)
	want := b.numbers(b.computed(newCase("Ann"), files...))

	a := newApp(t)
	path := a.taken(files[0], renamed(files[1], lie))
	page := a.ok(path)
	has(t, page, `name="unit-5"`)
	has(t, page, `name="unit-1-5"`, "the other file has its own columns")
	fields := url.Values{"columns": {"yes"}}
	columnFields(fields, 0, "deg/s")
	columnFields(fields, 1, "deg/s")
	require.Equal(t, want, a.corrected(path, fields))
}

// Two files of one kind, of which one lies, are told apart on request.
func TestFilesOfOneKindAreCorrectedByThemselves(t *testing.T) {
	files := feet(60, 0.3, 1)
	b := newApp(t)
	want := b.numbers(b.computed(newCase("Ann"), files...))

	a := newApp(t)
	const plain = "t,a_x,a_y,a_z,w_x,w_y,w_z"
	path := a.taken(renamed(files[0], plain), renamed(files[1], plain))
	lacks(t, a.ok(path), `name="unit-1-5"`, "one table for files of one kind")
	fields := url.Values{"columns": {"yes"}, "single": {"yes"}}
	columnFields(fields, 0, "deg/s")
	require.Equal(t, 303, a.post(path+"/read", fields).status)
	a.settled(path)
	has(t, a.ok(path), `name="unit-1-5"`)
	fields = url.Values{"columns": {"yes"}}
	columnFields(fields, 0, "deg/s")
	columnFields(fields, 1, "deg/s")
	require.Equal(t, want, a.corrected(path, fields))
}

// A file that could be read keeps what was found in it while the other is put
// right.
func TestASoundFileIsNotTouchedWhileTheOtherIsCorrected(t *testing.T) {
	files := feet(60, 0.3, 1)
	a := newApp(t)
	path := a.taken(files[0], renamed(files[1], "one,two,three,four,five,six,seven"))
	has(t, a.ok(path), "These files cannot be used yet")
	id := strings.TrimPrefix(path, "/upload/")
	in, err := a.server.intakes.get(id)
	require.NoError(t, err)
	in.mu.Lock()
	groups := in.groups()
	in.mu.Unlock()
	require.Len(t, groups, 2)
	fields := url.Values{"columns": {"yes"}}
	for i := range roleNames { // as the page shows the sound file
		fields.Set(field("role", 0, i+1), groups[0].Columns[i].Role)
		fields.Set(field("unit", 0, i+1), "")
	}
	columnFields(fields, 1, "deg/s")
	require.Equal(t, 303, a.post(path+"/read", fields).status)
	a.settled(path)
	has(t, a.ok(path), "Is this right?")
	require.NotContains(t, in.how.Files, files[0].name)
	require.Contains(t, in.how.Files, files[1].name)
}

func TestAWatchThatMayCountStridesIsAsked(t *testing.T) {
	a := newApp(t)
	var b strings.Builder
	b.WriteString("time (s),cadence\n")
	for i := range 300 {
		fmt.Fprintf(&b, "%d,%d\n", i, 84+i%3)
	}
	path := a.taken(named{"watch.csv", []byte(b.String())})
	page := html.UnescapeString(a.ok(path))
	has(t, page, "may count the steps of both feet or the strides of one")
	has(t, page, "say under “Columns and units” below what it counts")
	require.Equal(t, 303, a.post(path+"/read", url.Values{"counts": {"strides"}}).status)
	a.settled(path)
	has(t, a.ok(path), "170 steps a minute")
	require.Equal(t, 303, a.post(path+"/read", url.Values{"counts": {"steps"}}).status)
	a.settled(path)
	has(t, a.ok(path), "85 steps a minute")
	require.Equal(t, 400, a.post(path+"/read", url.Values{"counts": {"hops"}}).status)
}
