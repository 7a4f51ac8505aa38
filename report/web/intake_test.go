package web

import (
	"archive/zip"
	"bytes"
	"context"
	"html"
	"net/http/httptest"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

// between is a context that does something the first time a query looks at it.
type between struct {
	context.Context
	do func()
}

func (b *between) Done() <-chan struct{} {
	if do := b.do; do != nil {
		b.do = nil
		do()
	}
	return b.Context.Done()
}

// A computation may end while its page is being made. The page then asked “Is this right?”
// and said that nothing had been computed, for good.
func TestAPageThatIsMadeWhileTheWorkEndsLeadsToTheResult(t *testing.T) {
	a := newApp(t)
	in := &intake{id: "1", root: a.server.cfg.Folder, phase: phaseComputing}
	require.NoError(t, a.server.intakes.add(in))
	r := httptest.NewRequest("GET", "/upload/1", nil)
	r.SetPathValue("id", "1")
	ends := func() {
		in.mu.Lock()
		in.phase, in.done = phaseDone, "/cases/c/sessions/s"
		in.mu.Unlock()
	}
	w := httptest.NewRecorder()
	require.NoError(t, a.server.intakePage(w, r.WithContext(&between{r.Context(), ends})))
	require.Equal(t, 303, w.Code)
	require.Equal(t, "/cases/c/sessions/s", w.Header().Get("Location"))
}

// Two recordings of one foot, or of a foot that nobody named, were computed without a
// question. What was filled in is not lost by it.
func TestFeetThatAreNotClearAreAskedAbout(t *testing.T) {
	for _, c := range []struct {
		names [2]string
		want  string
	}{
		{[2]string{"left_foot.csv", "left_again.csv"}, "are both given as the left foot"},
		{[2]string{"export1.csv", "left_foot.csv"}, "Nothing says which foot export1.csv is of."},
	} {
		a := newApp(t)
		both := feet(30, 1, 2)
		files := []named{{c.names[0], both[0].data}, {c.names[1], both[1].data}}
		path := a.taken(files...)
		has(t, html.UnescapeString(a.ok(path)), c.want, "said before anything is sent")
		fields := newCase("Ann")
		fields.Set("shoe", "grey")
		got := a.post(path+"/compute", fields)
		require.Equal(t, 400, got.status)
		page := html.UnescapeString(got.body)
		has(t, page, "nothing was computed. ")
		has(t, page, c.want)
		has(t, page, `value="grey"`)
		has(t, page, `name="injured" value="right" checked`)
		fields.Set("side-0", "left")
		fields.Set("side-1", "right")
		require.Equal(t, 303, a.post(path+"/compute", fields).status, "the feet were given")
	}
}

// One sensor moved from foot to foot gives one foot twice, and rightly.
func TestOneSensorThatIsMovedIsNotDoubted(t *testing.T) {
	in := &intake{files: []file{{Name: "1.csv", Side: recording.Left}, {Name: "2.csv", Side: recording.Left}}}
	s := func() seenSensor { return seenSensor{steps: true, clock: "seconds", end: 60} }
	in.seen = &seen{Files: []seenFile{{Name: "1.csv", Sensors: []seenSensor{s()}}, {Name: "2.csv", Sensors: []seenSensor{s()}}}}
	require.Len(t, in.doubts(), 1)
	in.how.OneSensor = true
	require.Empty(t, in.doubts())
}

func TestOneFootAloneIsToldWhatIsMissing(t *testing.T) {
	a := newApp(t)
	both := feet(30, 1, 2)
	has(t, a.ok(a.taken(both[0])), "Only the left foot is here.")
	lacks(t, a.ok(a.taken(both...)), "foot is here.")
	has(t, a.ok(a.taken(both[0], watch())), "Only the left foot is here.")
	path := a.computed(newCase("Ann"), both[0])
	page := a.ok(path)
	has(t, page, "Only the uninjured left foot was recorded")
	has(t, page, "right side injured")
	has(t, a.ok(path+"/session.json"), `"injured": "right"`, "the side that was named, not unknown")
}

// A picture has no columns to correct: its bytes were offered as some.
func TestAPictureIsNotOfferedForCorrection(t *testing.T) {
	a := newApp(t)
	page := html.UnescapeString(a.ok(a.taken(named{"run.jpg", []byte("\xff\xd8\xff\xe0\x00\x10JFIF\n!a,b!,c?\n")})))
	has(t, page, "is a picture or a film")
	has(t, page, "Choose other files")
	lacks(t, page, "Columns and units")
	lacks(t, page, "Foot in run.jpg")
}

// What was found in an archive was not shown, and its feet were not asked about.
func TestWhatAnArchiveHoldsIsShown(t *testing.T) {
	a := newApp(t)
	both := feet(30, 1, 2)
	zipped := func(names ...string) named {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for i, name := range names {
			w, err := z.Create(name)
			require.NoError(t, err)
			_, err = w.Write(both[i].data)
			require.NoError(t, err)
		}
		require.NoError(t, z.Close())
		return named{"run.zip", b.Bytes()}
	}
	page := a.ok(a.taken(zipped("left.csv", "right.csv")))
	has(t, page, "left.csv: <b>")
	has(t, page, "right side, from the file name")
	lacks(t, page, "Foot in run.zip")
	has(t, a.ok(a.taken(zipped("1.csv", "2.csv"))), "Nothing says which foot run.zip/1.csv is of. Send the files unpacked")
}

// Someone who sends a run to a page on which another person has a case must not be taken
// for that person, whose injured side is another.
func TestARunIsNobodysBeforeSomeoneSaysSo(t *testing.T) {
	a := newApp(t)
	first := a.taken(feet(30, 1, 2)...)
	lacks(t, a.ok(first), `<option value="">choose`, "there is nobody to choose from")
	fields := newCase("Ann")
	require.Equal(t, 303, a.post(first+"/compute", fields).status)
	a.settled(first)
	path := a.taken(feet(30, 1, 3)...)
	page := a.ok(path)
	has(t, page, `<option value="">choose</option>`)
	lacks(t, page, "selected>Ann")
	fields.Set("case", "")
	got := a.post(path+"/compute", fields)
	require.Equal(t, 400, got.status)
	has(t, got.body, "Say whose run this is")
}
