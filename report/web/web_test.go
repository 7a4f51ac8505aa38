package web

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/report/casebook"
	"setdown/signal/recording"
)

// testNow is the day of the tests.
var testNow = time.Date(2026, time.June, 1, 12, 0, 0, 0, time.UTC)

// app is a server under test with its folder.
type app struct {
	t      *testing.T
	dir    string
	server *Server
	http   *httptest.Server
	client *http.Client

	mu   sync.Mutex
	log  []string
	time time.Time
}

// counter makes tokens that differ.
type counter struct {
	mu sync.Mutex
	n  uint64
}

func (c *counter) Read(p []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.n++
	copy(p, fmt.Sprintf("%016d", c.n))
	return len(p), nil
}

// newApp starts a server on an empty casebook; change may edit its settings.
func newApp(t *testing.T, change ...func(*Config)) *app {
	a := &app{t: t, dir: t.TempDir(), time: testNow}
	book, err := casebook.Create(t.Context(), filepath.Join(a.dir, "book", casebook.FileName))
	require.NoError(t, err)
	require.NoError(t, os.Mkdir(filepath.Join(a.dir, "web"), 0o700))
	root, err := os.OpenRoot(filepath.Join(a.dir, "web"))
	require.NoError(t, err)
	a.http = httptest.NewUnstartedServer(nil)
	host := a.http.Listener.Addr().String()
	cfg := Config{Book: book, Folder: root, Version: "test", Now: a.now, Random: &counter{}, Log: a.line, Hosts: []string{host},
		Exposed: []string{"Only this computer can reach this page."}}
	for _, f := range change {
		f(&cfg)
	}
	a.server, err = New(cfg)
	require.NoError(t, err)
	a.http.Config.Handler = a.server.Handler()
	if cfg.Passphrase != "" {
		a.http.StartTLS()
	} else {
		a.http.Start()
	}
	a.client = a.http.Client()
	a.client.Jar, err = cookiejar.New(nil)
	require.NoError(t, err)
	a.client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	t.Cleanup(func() {
		a.http.Close()
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		defer cancel()
		require.NoError(t, a.server.Close(ctx))
		require.NoError(t, root.Close())
		require.NoError(t, book.Close())
	})
	return a
}

// now goes on by a moment at each look, as clocks do.
func (a *app) now() time.Time {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.time = a.time.Add(time.Millisecond)
	return a.time
}

// later moves the clock on.
func (a *app) later(d time.Duration) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.time = a.time.Add(d)
}

func (a *app) line(text string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.log = append(a.log, text)
}

func (a *app) lines() []string {
	a.mu.Lock()
	defer a.mu.Unlock()
	return append([]string(nil), a.log...)
}

// answer is what came back.
type answer struct {
	status int
	header http.Header
	body   string
}

func (a *app) do(r *http.Request) answer {
	a.t.Helper()
	res, err := a.client.Do(r)
	require.NoError(a.t, err)
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	require.NoError(a.t, err)
	return answer{res.StatusCode, res.Header, string(body)}
}

func (a *app) request(method, path string, body io.Reader) *http.Request {
	a.t.Helper()
	r, err := http.NewRequestWithContext(a.t.Context(), method, a.http.URL+path, body)
	require.NoError(a.t, err)
	return r
}

func (a *app) get(path string) answer { a.t.Helper(); return a.do(a.request("GET", path, nil)) }

// ok gets a page that must be there.
func (a *app) ok(path string) string {
	a.t.Helper()
	got := a.get(path)
	require.Equal(a.t, 200, got.status, "%s: %s\n%v", path, got.body, a.lines())
	return got.body
}

func (a *app) post(path string, fields url.Values) answer {
	a.t.Helper()
	r := a.request("POST", path, strings.NewReader(fields.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return a.do(r)
}

// named is a file to upload.
type named struct {
	name string
	data []byte
}

// upload sends files and returns the answer.
func (a *app) upload(files ...named) answer {
	a.t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for _, f := range files {
		p, err := w.CreateFormFile("file", f.name)
		require.NoError(a.t, err)
		_, err = p.Write(f.data)
		require.NoError(a.t, err)
	}
	require.NoError(a.t, w.Close())
	r := a.request("POST", "/upload", &b)
	r.Header.Set("Content-Type", w.FormDataContentType())
	r.Header.Set("Accept", "application/json")
	return a.do(r)
}

// taken uploads files that must be taken in, waits until they were read and
// returns the address of the input check.
func (a *app) taken(files ...named) string {
	a.t.Helper()
	got := a.upload(files...)
	require.Equal(a.t, 200, got.status, got.body)
	var next struct{ Next string }
	require.NoError(a.t, json.Unmarshal([]byte(got.body), &next))
	a.settled(next.Next)
	return next.Next
}

// state is how far an upload is.
type state struct {
	Phase   phase
	Percent int
	Ahead   int
	Next    string
}

func (a *app) state(path string) state {
	a.t.Helper()
	var s state
	require.NoError(a.t, json.Unmarshal([]byte(a.ok(path+"/state")), &s))
	return s
}

// settled waits for the end of reading or computing.
func (a *app) settled(path string) state {
	a.t.Helper()
	for range 3000 {
		s := a.state(path)
		if s.Phase == phaseCheck || s.Phase == phaseDone {
			return s
		}
		time.Sleep(20 * time.Millisecond)
	}
	a.t.Fatal("the work did not end")
	return state{}
}

// computed goes the whole way from files to a session and returns its address.
func (a *app) computed(fields url.Values, files ...named) string {
	a.t.Helper()
	path := a.taken(files...)
	got := a.post(path+"/compute", fields)
	require.Equal(a.t, 303, got.status, got.body)
	s := a.settled(path)
	require.Equal(a.t, phaseDone, s.Phase, a.get(path).body)
	to, _, _ := strings.Cut(s.Next, "?")
	return to
}

// newCase are the fields of the input check for someone new.
func newCase(name string) url.Values {
	return url.Values{"case": {"new"}, "name": {name}, "injured": {"right"}, "date": {"2026-06-01"}}
}

// feet simulates both feet once for each set of arguments.
var feet = func() func(seconds, gain float64, seed uint64) []named {
	var mu sync.Mutex
	made := map[string][]named{}
	return func(seconds, gain float64, seed uint64) []named {
		mu.Lock()
		defer mu.Unlock()
		key := fmt.Sprint(seconds, gain, seed)
		if made[key] == nil {
			s := simulate.Defaults(event.Running)
			s.Duration, s.Seed, s.Right.Gain = seconds, seed, gain
			rec := simulate.Run(s)
			for _, side := range []recording.Side{recording.Left, recording.Right} {
				var b bytes.Buffer
				if err := rec.WriteCSV(&b, side, recording.Foot, simulate.Everyday); err != nil {
					panic(err)
				}
				made[key] = append(made[key], named{fmt.Sprintf("run%d-%s", seed, simulate.FileName(side, recording.Foot)), b.Bytes()})
			}
		}
		return made[key]
	}
}()

// everyFile lists the files of the app's own folder.
func (a *app) everyFile(dir string) []string {
	var out []string
	require.NoError(a.t, filepath.WalkDir(filepath.Join(a.dir, dir), func(name string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			rel, _ := filepath.Rel(a.dir, name)
			out = append(out, rel)
		}
		return err
	}))
	return out
}

// has and lacks look for a text in a page and, unlike the library's own, do not
// print the page. A reason may follow, as for require.
func has(t *testing.T, page, want string, why ...any) {
	t.Helper()
	require.True(t, strings.Contains(page, want), reason("the page lacks "+want, why)...)
}

func lacks(t *testing.T, page, bad string, why ...any) {
	t.Helper()
	require.False(t, strings.Contains(page, bad), reason("the page has "+bad, why)...)
}

func reason(what string, why []any) []any {
	if len(why) == 0 {
		return []any{what}
	}
	return append([]any{fmt.Sprint(why[0]) + ": " + strings.ReplaceAll(what, "%", "%%")}, why[1:]...)
}
