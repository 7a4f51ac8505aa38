package web

import (
	"bytes"
	"context"
	"encoding/csv"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestOnlyTheServersOwnHostIsAnswered(t *testing.T) {
	a := newApp(t)
	for _, host := range []string{"evil.example", "127.0.0.1", "localhost:1", "127.0.0.1.evil.example:80", ""} {
		r := a.request("GET", "/cases", nil)
		if r.Host = host; host == "" {
			r.Host = "x"
		}
		got := a.do(r)
		require.Equal(t, http.StatusMisdirectedRequest, got.status, host)
		require.NotContains(t, got.body, "Cases")
	}
}

func TestAForeignPageCanNeitherPostNorRead(t *testing.T) {
	a := newApp(t)
	post := func(change func(http.Header)) int {
		r := a.request("POST", "/cases", strings.NewReader("name=Eve&injured=left"))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		change(r.Header)
		return a.do(r).status
	}
	require.Equal(t, 403, post(func(h http.Header) { h.Set("Origin", "http://evil.example") }))
	require.Equal(t, 403, post(func(h http.Header) { h.Set("Origin", "null") }))
	require.Equal(t, 403, post(func(h http.Header) { h.Set("Sec-Fetch-Site", "cross-site") }))
	require.Equal(t, 403, post(func(h http.Header) { h.Set("Sec-Fetch-Site", "same-site") }))
	require.Equal(t, 303, post(func(h http.Header) { h.Set("Sec-Fetch-Site", "same-origin") }))
	cases, err := a.server.cfg.Book.Cases(t.Context())
	require.NoError(t, err)
	require.Len(t, cases, 1)

	read := func(site, mode string) int {
		r := a.request("GET", "/cases", nil)
		r.Header.Set("Sec-Fetch-Site", site)
		r.Header.Set("Sec-Fetch-Mode", mode)
		return a.do(r).status
	}
	require.Equal(t, 403, read("cross-site", "no-cors"))
	require.Equal(t, 403, read("same-site", "cors"))
	require.Equal(t, 200, read("cross-site", "navigate"), "a link to a page may be followed")
	require.Equal(t, 200, read("same-origin", "cors"))
}

func TestEveryAnswerCarriesTheStrictPolicy(t *testing.T) {
	a := newApp(t)
	for _, path := range []string{"/", "/cases", "/help", "/settings", "/nothing", "/static/app.css", "/static/nothing", "/cases/none"} {
		h := a.get(path).header
		p := h.Get("Content-Security-Policy")
		for _, part := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' data:", "form-action 'self'", "frame-ancestors 'none'", "base-uri 'none'"} {
			require.Contains(t, p, part, path)
		}
		require.NotContains(t, p, "unsafe")
		require.Equal(t, "nosniff", h.Get("X-Content-Type-Options"), path)
		require.Equal(t, "no-referrer", h.Get("Referrer-Policy"), path)
		require.Equal(t, "same-origin", h.Get("Cross-Origin-Resource-Policy"), path)
		require.Empty(t, h.Get("Access-Control-Allow-Origin"), path)
	}
}

func TestNoPageOfTheAppNamesAnotherHost(t *testing.T) {
	for _, dir := range []string{"pages", "static"} {
		files, err := filepath.Glob(dir + "/*")
		require.NoError(t, err)
		require.NotEmpty(t, files)
		for _, f := range files {
			text, err := os.ReadFile(f)
			require.NoError(t, err)
			s := strings.ReplaceAll(string(text), "http://www.w3.org/2000/svg", "")
			require.NotRegexp(t, `https?://|//[a-z0-9-]+\.[a-z]`, s, f)
			if dir == "pages" {
				require.NotRegexp(t, `(?i) style=|<style| on[a-z]+=`, s, f)
			}
		}
	}
}

const hostile = `<img src=x onerror=alert(1)>"'=cmd|' /C calc'!A0.csv`

func TestNamesFromFilesAreEscapedEverywhere(t *testing.T) {
	a := newApp(t)
	files := feet(60, 0.3, 1)
	evil := "left" + strings.ReplaceAll(hostile, "/", "_")
	path := a.taken(named{evil, files[0].data}, named{"=1+1_right.csv", files[1].data})
	check := a.ok(path)
	lacks(t, check, "<img src=x")
	has(t, check, "&lt;img src=x")
	f := newCase(`<b>Ann "=2"`)
	f.Set("note", `</script><svg onload=alert(1)>`)
	f.Set("shoe", `"><i>`)
	require.Equal(t, 303, a.post(path+"/compute", f).status)
	s := a.settled(path)
	require.Equal(t, phaseDone, s.Phase)
	to, _, _ := strings.Cut(s.Next, "?")
	id, _, err := a.ids(to)
	require.NoError(t, err)
	for _, p := range []string{to, "/", "/cases", "/cases/" + id, "/cases/" + id + "/diary", "/cases/" + id + "/form", "/cases/" + id + "/compare", to + "/report.html"} {
		page := a.ok(p)
		for _, bad := range []string{"<img src=x", "<b>Ann", "<svg onload", `"><i>`, "</script><svg"} {
			lacks(t, page, bad, p)
		}
	}
	rows, err := csv.NewReader(strings.NewReader(a.ok(to + "/steps.csv"))).ReadAll()
	require.NoError(t, err)
	number := regexp.MustCompile(`^-?[0-9.]+$`)
	for _, row := range rows {
		for _, cell := range row {
			if cell != "" && strings.ContainsRune("=+-@", rune(cell[0])) {
				require.Regexp(t, number, cell, "a cell that a spreadsheet would run")
			}
		}
	}
}

func TestNamesNeverBecomePaths(t *testing.T) {
	a := newApp(t)
	path := a.taken(named{"../../../../escaped-left.csv", []byte("x")}, named{`..\..\escaped-right.csv`, []byte("y")})
	for _, f := range append(a.everyFile("web"), a.everyFile("book")...) {
		require.NotContains(t, f, "escaped")
	}
	has(t, a.ok(path), "escaped-left.csv")
	lacks(t, a.ok(path), "../")
	for _, p := range []string{"/static/../web.go", "/static/..%2fweb.go", "/static/%2e%2e%2fgo.mod", "/cases/..%2f..%2fetc", "/upload/..%2f", "/cases/x/sessions/..%2f..%2f/signal.json"} {
		got := a.get(p)
		require.Contains(t, []int{301, 307, 404}, got.status, p)
		require.NotContains(t, got.body, "package web")
	}
}

func TestOnePanicEndsOneRequestOnly(t *testing.T) {
	a := newApp(t)
	h := a.server.guard(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { panic("boom") }))
	r := httptest.NewRequest("GET", a.http.URL+"/", nil)
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	require.Equal(t, 500, w.Code)
	require.NotContains(t, w.Body.String(), "boom")
	require.Len(t, a.lines(), 1)
	require.Contains(t, a.lines()[0], "boom")
	require.Equal(t, 200, a.get("/").status)
}

func TestAPanicInAComputationEndsThatOneOnly(t *testing.T) {
	a := newApp(t)
	err := a.server.queue.wait(t.Context(), func(context.Context) error { panic("boom") })
	require.Error(t, err)
	require.NoError(t, a.server.queue.wait(t.Context(), func(context.Context) error { return nil }))
	require.Contains(t, strings.Join(a.lines(), "\n"), "boom")
}

func TestLargeFormsAreRefused(t *testing.T) {
	a := newApp(t, func(c *Config) { c.Limits.FormBytes = 5000 })
	got := a.post("/cases", url.Values{"name": {strings.Repeat("a", 6000)}, "injured": {"left"}})
	require.GreaterOrEqual(t, got.status, 400)
	require.Less(t, got.status, 500)
	cases, err := a.server.cfg.Book.Cases(t.Context())
	require.NoError(t, err)
	require.Empty(t, cases)
}

// open gives the passphrase of the tests.
func withPhrase(c *Config) { c.Passphrase = "three words here" }

func TestThePassphraseGuardsEverything(t *testing.T) {
	a := newApp(t, withPhrase)
	for _, path := range []string{"/", "/cases", "/help", "/settings", "/upload/x/state", "/cases/x/export", "/nothing"} {
		got := a.get(path)
		require.Equal(t, 303, got.status, path)
		require.Equal(t, "/login", got.header.Get("Location"), path)
	}
	require.Equal(t, 401, a.post("/cases", url.Values{"name": {"Eve"}, "injured": {"left"}}).status)
	require.Equal(t, 401, a.upload(named{"a.csv", []byte("x")}).status)
	require.Empty(t, a.everyFile("web"))
	has(t, a.ok("/login"), "Passphrase")

	require.Equal(t, 403, a.post("/login", url.Values{"passphrase": {"wrong"}}).status)
	got := a.post("/login", url.Values{"passphrase": {"three words here"}})
	require.Equal(t, 303, got.status)
	cookie := got.header.Get("Set-Cookie")
	for _, part := range []string{"__Host-", "Secure", "HttpOnly", "SameSite=Strict", "Path=/"} {
		require.Contains(t, cookie, part)
	}
	require.Equal(t, 200, a.get("/").status)
	require.NotEmpty(t, a.get("/").header.Get("Strict-Transport-Security"))

	a.later(stay + time.Minute)
	require.Equal(t, 303, a.get("/").status, "it holds for a while only")
	require.Equal(t, 303, a.post("/login", url.Values{"passphrase": {"three words here"}}).status)
	require.Equal(t, 200, a.get("/").status)
	require.Equal(t, 303, a.post("/logout", nil).status)
	require.Equal(t, 303, a.get("/").status)
}

func TestGuessingIsSlowedForAll(t *testing.T) {
	a := newApp(t, withPhrase)
	for range freeTries {
		require.Equal(t, 403, a.post("/login", url.Values{"passphrase": {"wrong"}}).status)
	}
	got := a.post("/login", url.Values{"passphrase": {"three words here"}})
	require.Equal(t, 429, got.status, "the right one is not looked at either")
	a.later(firstPause)
	require.Equal(t, 403, a.post("/login", url.Values{"passphrase": {"wrong"}}).status)
	a.later(firstPause)
	require.Equal(t, 429, a.post("/login", url.Values{"passphrase": {"three words here"}}).status, "each further try waits longer")
	a.later(longestPause)
	require.Equal(t, 303, a.post("/login", url.Values{"passphrase": {"three words here"}}).status)
}

func TestACookieOfOnesOwnMakingIsNoUse(t *testing.T) {
	a := newApp(t, withPhrase)
	r := a.request("GET", "/cases", nil)
	r.AddCookie(&http.Cookie{Name: cookieName, Value: strings.Repeat("0", 32)})
	require.Equal(t, 303, a.do(r).status)
}

func TestAStopDropsWhatRunsAndLeavesNothing(t *testing.T) {
	a := newApp(t)
	path := a.taken(feet(60, 0.3, 1)...)
	block := make(chan struct{})
	a.server.queue.add(func(ctx context.Context) { close(block); <-ctx.Done() })
	<-block
	require.Equal(t, 303, a.post(path+"/compute", newCase("Ann")).status)
	require.Equal(t, 1, a.state(path).Ahead)
	require.NoError(t, a.server.Close(t.Context()))
	cases, err := a.server.cfg.Book.Cases(t.Context())
	require.NoError(t, err)
	require.Empty(t, cases)
	require.Empty(t, a.everyFile("web"))
}

func TestACancelledComputationKeepsNothing(t *testing.T) {
	a := newApp(t)
	path := a.taken(feet(60, 0.3, 1)...)
	hold, held := make(chan struct{}), make(chan struct{})
	a.server.queue.add(func(context.Context) { close(held); <-hold })
	<-held
	require.Equal(t, 303, a.post(path+"/compute", newCase("Ann")).status)
	require.Equal(t, 303, a.post(path+"/cancel", nil).status)
	close(hold)
	require.NoError(t, a.server.queue.wait(t.Context(), func(context.Context) error { return nil }))
	cases, err := a.server.cfg.Book.Cases(t.Context())
	require.NoError(t, err)
	require.Empty(t, cases)
	require.Empty(t, a.everyFile("web"))
}

func TestAnArchiveThatIsNoneIsRefused(t *testing.T) {
	a := newApp(t)
	var b bytes.Buffer
	b.WriteString("--x\r\nContent-Disposition: form-data; name=\"archive\"; filename=\"a.zip\"\r\n\r\nPK\x03\x04 not really\r\n--x--\r\n")
	r := a.request("POST", "/cases/import", &b)
	r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	got := a.do(r)
	require.Equal(t, 400, got.status)
	has(t, got.body, "download it again")
	require.Empty(t, a.everyFile("web"))
}

// What no address takes, and what is refused, says what to do to whoever reads it.
func TestARefusalSaysWhatToDo(t *testing.T) {
	a := newApp(t)
	got := a.do(a.request("PUT", "/cases", nil))
	require.Equal(t, 405, got.status)
	require.Equal(t, "GET, HEAD, POST", got.header.Get("Allow"))
	has(t, got.body, "Nothing can be sent to this address")
	has(t, got.body, "To the start page")
	r := a.request("GET", "/", nil)
	r.Host = "elsewhere.example"
	got = a.do(r)
	require.Equal(t, 421, got.status)
	has(t, got.body, "Open the one that stands in the window in which setdown was started.")
	r = a.request("POST", "/demo", nil)
	r.Header.Set("Origin", "http://elsewhere.example")
	got = a.do(r)
	require.Equal(t, 403, got.status)
	has(t, got.body, "do it there.")
	path := a.taken(watch())
	got = a.get(path + "/compute")
	require.Equal(t, 303, got.status, "the address of a form that was sent leads back to it")
	require.Equal(t, path, got.header.Get("Location"))
}

// On another device the files do not stay there, and whoever runs setdown can see them.
func TestWhereTheFilesGoIsSaidToOtherDevices(t *testing.T) {
	has(t, newApp(t).ok("/"), "The files stay on this computer.")
	a := newApp(t, withPhrase)
	has(t, a.ok("/login"), "Pain first.")
	require.Equal(t, 303, a.post("/login", url.Values{"passphrase": {"three words here"}}).status)
	page := a.ok("/")
	has(t, page, "whoever has its passphrase can see them")
	lacks(t, page, "this computer’s own setdown")
}
