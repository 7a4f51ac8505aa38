package web

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"net"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

// message is the error that the command line prints for the same file.
func message(t *testing.T, f named) (text, hint string) {
	_, err := recording.Inspect(t.Context(), []recording.Source{recording.Bytes(f.name, f.data, recording.SideUnknown)}, recording.Options{})
	require.Error(t, err)
	return explain(err)
}

func TestAnErrorStandsBesideItsFileInTheWordsOfTheCommandLine(t *testing.T) {
	a := newApp(t)
	files := feet(60, 0.3, 1)
	lines := strings.SplitAfter(string(files[1].data), "\n")
	lines[700] = "x,y,z\n"
	broken := named{"broken-right.csv", []byte("this is a letter, not a table\nof numbers\n")}
	text, hint := message(t, broken)
	path := a.taken(files[0], broken)
	page := html.UnescapeString(a.ok(path))
	has(t, page, text)
	has(t, page, hint)
	_, after, found := strings.Cut(page, "<h3>broken-right.csv")
	require.True(t, found)
	has(t, after, text, "beside the file that caused it")
	got := a.post(path+"/compute", newCase("Ann"))
	require.Equal(t, 400, got.status, "nothing can be computed")
	require.Equal(t, 303, a.post(path+"/cancel", nil).status)
	require.Empty(t, a.everyFile("web"), "nothing is left of it")
	cases, err := a.server.cfg.Book.Cases(t.Context())
	require.NoError(t, err)
	require.Empty(t, cases)
}

func TestNothingHalfDoneIsKeptWhenAComputationFails(t *testing.T) {
	a := newApp(t)
	path := a.taken(feet(60, 0.3, 1)...)
	// A file that was read without fault is gone when it is computed.
	require.NoError(t, a.server.cfg.Folder.Remove(incoming+"/"+strings.TrimPrefix(path, "/upload/")+"/1"))
	require.Equal(t, 303, a.post(path+"/compute", newCase("Ann")).status)
	require.Equal(t, phaseCheck, a.settled(path).Phase)
	has(t, a.ok(path), `class="problem"`)
	cases, err := a.server.cfg.Book.Cases(t.Context())
	require.NoError(t, err)
	require.Empty(t, cases, "the case that was to be made with the session is not there")
	for _, f := range a.everyFile("web") {
		require.True(t, strings.HasPrefix(f, "web/incoming/"), f)
	}
}

func TestTheSameRecordingTwiceIsSaidAndNotKept(t *testing.T) {
	a := newApp(t)
	files := feet(60, 0.3, 1)
	path := a.computed(newCase("Ann"), files...)
	id, session, err := a.ids(path)
	require.NoError(t, err)
	second := a.taken(files...)
	require.Equal(t, 303, a.post(second+"/compute", url.Values{"case": {id}, "date": {"2026-06-01"}}).status)
	require.Equal(t, phaseCheck, a.settled(second).Phase)
	has(t, a.ok(second), session)
	has(t, a.ok(second), `<a href="`+path+`">Open that session</a>`)
	all, err := a.server.cfg.Book.Sessions(t.Context(), id)
	require.NoError(t, err)
	require.Len(t, all, 1)
}

func TestSidesAreGuessedFromNamesAndSwappedByOneClick(t *testing.T) {
	a := newApp(t)
	files := feet(60, 0.3, 1)
	path := a.taken(files...)
	page := a.ok(path)
	has(t, page, `name="side-0" value="left" checked`)
	has(t, page, `name="side-1" value="right" checked`)
	require.Equal(t, 303, a.post(path+"/read", url.Values{"swap": {"yes"}}).status)
	a.settled(path)
	page = a.ok(path)
	has(t, page, `name="side-0" value="right" checked`)
	has(t, page, `name="side-1" value="left" checked`)
	require.Equal(t, 303, a.post(path+"/compute", newCase("Ann")).status)
	to, _, _ := strings.Cut(a.settled(path).Next, "?")
	doc := a.sessionOf(to)
	require.Equal(t, files[0].name, doc.Inputs[0].Name)
	require.Equal(t, "right", doc.Inputs[0].Side)
}

// numbers are the measures of a session as text.
func (a *app) numbers(path string) string {
	text, err := json.Marshal(a.sessionOf(path).Sides)
	require.NoError(a.t, err)
	return string(text)
}

// renamed makes a file with unknown names and no units, as a logger writes it.
func renamed(f named, heading string) named {
	_, rest, _ := bytes.Cut(f.data, []byte("\n"))
	return named{f.name, append([]byte(heading+"\n"), rest...)}
}

func TestUnitsAreCorrectedBeforeAnythingIsComputed(t *testing.T) {
	a := newApp(t)
	files := feet(60, 0.3, 1)
	// The heading claims rad/s; the values are deg/s, which no foot turns at.
	const lie = "time (s),acc x (g),acc y (g),acc z (g),gyr x (rad/s),gyr y (rad/s),gyr z (rad/s)"
	path := a.taken(renamed(files[0], lie), renamed(files[1], lie))
	fields := url.Values{"columns": {"yes"}}
	for i, r := range []string{"time", "acc_x", "acc_y", "acc_z", "gyr_x", "gyr_y", "gyr_z"} {
		fields.Set(fmt.Sprintf("role-%d", i+1), r)
		fields.Set(fmt.Sprintf("unit-%d", i+1), []string{"s", "g", "g", "g", "deg/s", "deg/s", "deg/s"}[i])
	}
	has(t, a.ok(path), `name="unit-5"`, "the units can be corrected, whether the files could be read or not")
	require.Equal(t, 303, a.post(path+"/read", fields).status)
	a.settled(path)
	has(t, a.ok(path), "Is this right?")
	require.Equal(t, 303, a.post(path+"/compute", newCase("Ann")).status)
	to, _, _ := strings.Cut(a.settled(path).Next, "?")
	require.NotEmpty(t, to)

	b := newApp(t)
	right := b.computed(newCase("Ann"), files...)
	require.Equal(t, b.numbers(right), a.numbers(to), "the numbers are those of the file with the true units")

	a.server.results.last = nil
	require.NoError(t, a.server.cfg.Folder.RemoveAll(kept))
	require.NoError(t, a.server.cfg.Folder.Mkdir(kept, 0o700))
	require.Equal(t, b.numbers(right), a.numbers(to), "the correction is kept with the session")
}

func TestWrongCorrectionsAreRefused(t *testing.T) {
	a := newApp(t)
	path := a.taken(feet(60, 0.3, 1)...)
	for name, f := range map[string]url.Values{
		"a role that is none": {"columns": {"yes"}, "role-1": {"hop"}},
		"a unit that is none": {"columns": {"yes"}, "role-1": {"time"}, "unit-1": {"furlong"}},
		"no column at all":    {"columns": {"yes"}},
		"a rate of words":     {"rate": {"fast"}},
		"a rate below zero":   {"rate": {"-200"}},
	} {
		require.Equal(t, 400, a.post(path+"/read", f).status, name)
	}
	require.Equal(t, phaseCheck, a.state(path).Phase)
}

func TestUploadsThatBreakALimitLeaveNothing(t *testing.T) {
	small := func(c *Config) { c.Limits = Limits{Files: 2, FileBytes: 1000, UploadBytes: 3000, Waiting: 2} }
	a := newApp(t, small)
	block := func(n int) []byte { return bytes.Repeat([]byte("a"), n) }
	for name, files := range map[string][]named{
		"too many":     {{"a.csv", block(9)}, {"b.csv", block(9)}, {"c.csv", block(9)}},
		"one too long": {{"a.csv", block(1001)}},
		"all too long": {{"a.csv", block(990)}, {"b.csv", block(2500)}},
		"empty":        {{"a.csv", nil}},
		"none":         {},
		"twice a name": {{"a.csv", block(9)}, {"a.csv", block(8)}},
	} {
		got := a.upload(files...)
		require.Equal(t, 400, got.status, "%s: %s", name, got.body)
		require.Empty(t, a.everyFile("web"), name)
	}
	require.Empty(t, a.lines(), "a mistake in an upload is no fault of the server")
	for range 2 {
		a.taken(named{"a.csv", block(9)})
	}
	require.Equal(t, 400, a.upload(named{"a.csv", block(9)}).status, "too many wait")
}

func TestAnUploadThatBreaksOffLeavesNothing(t *testing.T) {
	a := newApp(t)
	body := "--x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.csv\"\r\n\r\ntime,acc"
	r := a.request("POST", "/upload", strings.NewReader(body))
	r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	require.Equal(t, 400, a.do(r).status)
	require.Empty(t, a.everyFile("web"))
}

// Much more than the system keeps between a sender and a reader that has stopped.
func TestARefusedUploadGetsItsAnswer(t *testing.T) {
	a := newApp(t, func(c *Config) { c.Limits = Limits{UploadBytes: 20 << 20} })
	for name, first := range map[string]string{"empty": "", "twice a name": "x"} {
		head := "--x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"%s\"\r\n\r\n%s\r\n"
		body := fmt.Sprintf(head, "a.csv", first) + fmt.Sprintf(head, "a.csv", strings.Repeat("a", 16<<20)) + "--x--\r\n"
		for _, path := range []string{"/upload", "/cases/import"} {
			c, err := net.Dial("tcp", a.http.Listener.Addr().String())
			require.NoError(t, err)
			defer c.Close()
			_, err = fmt.Fprintf(c, "POST %s HTTP/1.1\r\nHost: %s\r\nContent-Type: multipart/form-data; boundary=x\r\nContent-Length: %d\r\n\r\n%s",
				path, a.http.Listener.Addr(), len(body), body)
			require.NoError(t, err, "%s, %s", name, path)
			got, err := http.ReadResponse(bufio.NewReader(c), nil)
			require.NoError(t, err, "%s, %s", name, path)
			require.Equal(t, http.StatusBadRequest, got.StatusCode, "%s, %s", name, path)
		}
	}
}

func TestUploadsOfAnEarlierRunAreRemovedAtTheStart(t *testing.T) {
	a := newApp(t)
	require.NoError(t, a.server.cfg.Folder.WriteFile(incoming+"/left-over", []byte("x"), 0o600))
	require.NoError(t, a.server.clean())
	require.Empty(t, a.everyFile("web"))
}

func TestAForgottenUploadIsDroppedAfterADay(t *testing.T) {
	a := newApp(t)
	old := a.taken(named{"a.csv", []byte("x")})
	a.later(keep + 1)
	a.taken(named{"b.csv", []byte("x")})
	require.Equal(t, 404, a.get(old).status)
	require.Len(t, a.everyFile("web"), 1)
}

// watch is the export of a watch: a step rate a second and no motion.
func watch() named {
	var b strings.Builder
	b.WriteString("time (s),cadence (steps/min),speed (m/s)\n")
	for i := range 300 {
		fmt.Fprintf(&b, "%d,%d,2.8\n", i, 168+i%3)
	}
	return named{"watch.csv", []byte(b.String())}
}

func TestAWatchExportGivesTheStepRateAndSaysWhatItLacks(t *testing.T) {
	a := newApp(t)
	page := html.UnescapeString(a.ok(a.taken(watch())))
	has(t, page, "169 steps a minute")
	has(t, page, "needs a motion sensor on each foot")
	lacks(t, page, "Work it out")
}

// Files that no step is measured on are kept with the run: they were called changed
// while they were read, and the run could not be kept at all.
func TestFilesThatAreNotUsedAreKeptWithTheRun(t *testing.T) {
	a := newApp(t)
	both := feet(30, 1, 3)
	back := named{"lower_back.csv", both[0].data[:len(both[0].data)/2]}
	page := html.UnescapeString(a.ok(a.computed(newCase("Ann"), both[0], both[1], watch(), back)))
	has(t, page, "Not used: a watch's step rate says nothing of the feet")
	has(t, page, "Not used: it sits on the waist")
}

func TestNamesFromABrowserBecomeHarmless(t *testing.T) {
	for raw, want := range map[string]string{
		"../../etc/passwd": "passwd", `C:\runs\left.csv`: "left.csv", "..": "file without a name", "": "file without a name",
		"a\x00b\n.csv": "ab.csv", "left\u202efsc.csv": "leftfsc.csv", "/": "file without a name",
	} {
		require.Equal(t, want, plainName(raw), "%q", raw)
	}
	require.Len(t, []rune(plainName(strings.Repeat("ä", 400)+".csv")), longestName)
}

func TestTenUploadsAreWorkedOnInTurn(t *testing.T) {
	a := newApp(t)
	var paths []string
	many := 10
	if testing.Short() {
		many = 4
	}
	for i := range many {
		files := feet(30, 0.3, uint64(20+i%2))
		paths = append(paths, a.taken(files...))
	}
	for i, p := range paths {
		require.Equal(t, 303, a.post(p+"/compute", newCase(fmt.Sprintf("Case %d", i))).status)
	}
	for _, p := range paths {
		require.Equal(t, phaseDone, a.settled(p).Phase)
	}
	cases, err := a.server.cfg.Book.Cases(t.Context())
	require.NoError(t, err)
	require.Len(t, cases, many)
}
