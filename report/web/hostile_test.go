package web

import (
	"bytes"
	"io"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// bait are pieces of which hostile requests are made.
var bait = []string{"", "..", "../../etc/passwd", "%2e%2e%2f", "\x00", "'", "\"", "<script>alert(1)</script>", "=cmd|' /C calc'!A0", "-1", "NaN", "1e309", "0x7fffffff",
	"99999999999999999999", "left", "right", "yes", "2026-05-31", "2026-02-30", "9999-99-99", "ä€😀", "\u202e", "\xff\xfe", strings.Repeat("A", 5000), "{}", "[]", "${7*7}", "{{.}}", "; DROP TABLE cases", "%00", "%", "%zz",
	"new", "c0", "\r\nSet-Cookie: x=1", "acc_x", "deg/s", "1", "3", "0", "/", "//evil.example", "http://evil.example/"}

// hostileRequest draws one request.
func hostileRequest(r *rand.Rand, base string, known []string) *http.Request {
	pick := func(from []string) string { return from[r.IntN(len(from))] }
	path := pick(known)
	if r.IntN(3) == 0 { // a piece of the address is another
		parts := strings.Split(path, "/")
		parts[r.IntN(len(parts))] = url.PathEscape(pick(bait))
		path = strings.Join(parts, "/")
	}
	if !strings.HasPrefix(path, "/") {
		path = "/" + path
	}
	if r.IntN(3) == 0 {
		path += "?" + pick([]string{"from", "to", "page", "step", "width", "metric", "entry", "by", "first", "done", "case", "blocks"}) + "=" + url.QueryEscape(pick(bait))
	}
	body, kind := hostileBody(r, pick)
	method := pick([]string{"GET", "GET", "POST", "POST", "POST", "PUT", "DELETE", "OPTIONS", "HEAD", "TRACE"})
	req, err := http.NewRequest(method, base+path, body)
	if err != nil { // not an address at all
		req, _ = http.NewRequest(method, base+"/", body)
	}
	req.Header.Set("Content-Type", kind)
	for range r.IntN(3) {
		value := strings.Map(func(c rune) rune {
			if c < ' ' || c == 0x7f {
				return -1
			}
			return c
		}, pick(bait))
		req.Header[pick([]string{"Accept", "Origin", "Sec-Fetch-Site", "Cookie", "Range", "X-Forwarded-Host", "If-None-Match", "Expect-Nothing", "Referer"})] = []string{value}
	}
	if r.IntN(20) == 0 {
		req.Host = pick([]string{"evil.example", "localhost", "127.0.0.1"})
	}
	return req
}

// hostileBody draws a form, a multipart body (whole or broken), or noise.
func hostileBody(r *rand.Rand, pick func([]string) string) (io.Reader, string) {
	fields := []string{"name", "injured", "date", "case", "run", "during", "morning", "rate", "columns", "swap", "side-0", "role-1", "unit-1", "step", "from", "to", "side",
		"n", "sure", "entry", "sets", "drill", "metres", "by", "on", "pace", "shoe", "slope_percent", "age", "limit", "weekly_rise", "none_of_these", "severe_pain", "passphrase", "page", "note", "to", "do", "blocks", "counts", "one_sensor", "single", "role-1-2", "unit-1-2", "as"}
	switch r.IntN(4) {
	case 0:
		noise := make([]byte, r.IntN(4000))
		for i := range noise {
			noise[i] = byte(r.Uint32())
		}
		return bytes.NewReader(noise), pick([]string{"text/plain", "multipart/form-data; boundary=x", "application/x-www-form-urlencoded", "multipart/form-data", "application/json", ""})
	case 1:
		var b bytes.Buffer
		w := multipart.NewWriter(&b)
		for range r.IntN(4) {
			p, err := w.CreateFormFile(pick([]string{"file", "archive", "other"}), pick(bait)+".csv")
			if err != nil {
				continue
			}
			_, _ = p.Write([]byte(pick(bait) + ",time_s,acc_x_g\n1,2,3\n" + pick(bait)))
		}
		_ = w.Close()
		cut := b.Len()
		if r.IntN(2) == 0 {
			cut = r.IntN(b.Len() + 1)
		}
		return bytes.NewReader(b.Bytes()[:cut]), w.FormDataContentType()
	}
	f := url.Values{}
	for range r.IntN(8) {
		f.Add(pick(fields), pick(bait))
	}
	return strings.NewReader(f.Encode()), "application/x-www-form-urlencoded"
}

// TestHostileRequests sends requests that nobody means well with: a few in every
// run, 10,000 with SETDOWN_LONG=1. None may panic, give a 500 without a line in
// the log, or leave a file outside the casebook's folder and the app's own.
func TestHostileRequests(t *testing.T) {
	n := 600
	if testing.Short() {
		n = 200
	}
	if os.Getenv("SETDOWN_LONG") != "" {
		n = 10000
	}
	a := newApp(t, func(c *Config) { c.Limits.Waiting = 8 })
	session := a.computed(newCase("Ann"), feet(30, 0.3, 20)...)
	id, _, err := a.ids(session)
	require.NoError(t, err)
	upload := a.taken(feet(30, 0.3, 21)...)
	c := "/cases/" + id
	known := []string{"/", "/cases", "/help", "/settings", "/login", "/logout", "/upload", upload, upload + "/state", upload + "/read", upload + "/compute",
		"/cases/import", c, c + "/form", c + "/diary", c + "/diary/remove", c + "/exercise", c + "/release", c + "/compare", c + "/letter", c + "/reopen", c + "/export",
		session, session + "/session.json", session + "/steps.json", session + "/steps", session + "/signal.json", session + "/leave", session + "/undo",
		session + "/form", "/static/app.css", "/static/none"}
	handler := a.server.Handler()
	r := rand.New(rand.NewPCG(1, 2))
	seen := map[int]int{}
	for i := range n {
		req := hostileRequest(r, a.http.URL, known)
		req.RequestURI = ""
		req.RemoteAddr = "127.0.0.1:1"
		before := len(a.lines())
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, req)
		seen[w.Code]++
		if w.Code >= 500 {
			require.Greater(t, len(a.lines()), before, "request %d: %s %s: %d without a line in the log", i, req.Method, req.URL, w.Code)
		}
		require.NotContains(t, w.Body.String(), "<script>alert(1)", "request %d: %s", i, req.URL)
		require.Empty(t, w.Header().Get("X-Evil"))
	}
	t.Log("answers by status:", seen)
	for _, line := range a.lines() {
		require.NotContains(t, line, "panic", "a panic was caught")
	}
	require.Empty(t, a.lines(), "no hostile request is a fault of the server")
	for _, f := range a.everyFile(".") {
		require.True(t, strings.HasPrefix(f, "book/") || strings.HasPrefix(f, "web/"), f)
	}
	require.Equal(t, 200, a.get("/").status, "it still answers")
}
