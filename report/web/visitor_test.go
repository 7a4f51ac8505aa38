package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	entries "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	printing "github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// browserRequired makes a missing browser a failure instead of a skipped test.
const browserRequired = "SETDOWN_BROWSER"

// need skips, or fails where the browser tests are required.
func need(t *testing.T, ok bool, what string) {
	t.Helper()
	switch {
	case ok:
	case os.Getenv(browserRequired) == "required":
		t.Fatal(what)
	default:
		t.Skip(what + " (" + browserRequired + "=required makes this a failure)")
	}
}

// visitor is a browser that looks at an app and notes what should not happen.
type visitor struct {
	*app
	ctx   context.Context
	shots string
	name  string
	axe   string

	notes   sync.Mutex
	trouble []string
	visited map[string]bool
}

// newVisitor starts a browser of the given size.
func newVisitor(t *testing.T, a *app, name string, width, height int64, mobile bool) *visitor {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes its time")
	}
	path := ""
	for _, n := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(n); err == nil {
			path = p
			break
		}
	}
	need(t, path != "", "no chromium is installed")
	axe, err := os.ReadFile(filepath.Join("..", "..", "testdata", "web", "node_modules", "axe-core", "axe.min.js"))
	need(t, err == nil, "axe-core is not installed: npm ci in testdata/web")
	opts := []chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.NoFirstRun, chromedp.NoDefaultBrowserCheck, chromedp.UserDataDir(t.TempDir()), chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("ignore-certificate-errors", true), chromedp.Flag("disable-dev-shm-usage", true)}
	alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	ctx, cancel := chromedp.NewContext(alloc, chromedp.WithErrorf(t.Logf))
	t.Cleanup(func() { _ = chromedp.Cancel(ctx); cancel(); stop() })
	v := &visitor{app: a, ctx: ctx, name: name, axe: string(axe), shots: shotsFolder(t), visited: map[string]bool{}}
	chromedp.ListenTarget(ctx, v.listen)
	var emulate []chromedp.EmulateViewportOption
	if mobile {
		emulate = append(emulate, chromedp.EmulateMobile, chromedp.EmulateTouch)
	}
	// The first run starts the browser, which lives as long as its context.
	require.NoError(t, chromedp.Run(ctx, network.Enable(), entries.Enable(), runtime.Enable(), chromedp.EmulateViewport(width, height, emulate...)))
	return v
}

// shotsFolder is where pictures of pages go: SETDOWN_SHOTS, or the test's own
// folder of artifacts.
func shotsFolder(t *testing.T) string {
	if dir := os.Getenv("SETDOWN_SHOTS"); dir != "" {
		require.NoError(t, os.MkdirAll(dir, 0o755))
		return dir
	}
	return t.ArtifactDir()
}

// listen notes console errors, faults of scripts, and requests elsewhere.
func (v *visitor) listen(event any) {
	note := ""
	switch e := event.(type) {
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.APITypeError || e.Type == runtime.APITypeWarning {
			note = fmt.Sprintf("console %s: %v", e.Type, e.Args[0].Description+string(e.Args[0].Value))
		}
	case *runtime.EventExceptionThrown:
		note = "exception: " + e.ExceptionDetails.Error()
	case *entries.EventEntryAdded:
		if e.Entry.Level == entries.LevelError || e.Entry.Level == entries.LevelWarning {
			note = fmt.Sprintf("log %s: %s %s", e.Entry.Level, e.Entry.Text, e.Entry.URL)
		}
	case *network.EventRequestWillBeSent:
		u, err := url.Parse(e.Request.URL)
		if err != nil || u.Scheme != "data" && u.Scheme != "about" && u.Host != strings.TrimPrefix(strings.TrimPrefix(v.http.URL, "http://"), "https://") {
			note = "request to another host: " + e.Request.URL
		}
	}
	if note != "" {
		v.notes.Lock()
		v.trouble = append(v.trouble, note)
		v.notes.Unlock()
	}
}

func (v *visitor) run(actions ...chromedp.Action) {
	v.t.Helper()
	ctx, cancel := context.WithTimeout(v.ctx, 90*time.Second)
	defer cancel()
	if err := chromedp.Run(ctx, actions...); err != nil {
		v.shot("failure")
		var text string
		late, stop := context.WithTimeout(v.ctx, 10*time.Second)
		defer stop()
		_ = chromedp.Run(late, chromedp.Evaluate(`document.body.innerText`, &text))
		v.t.Fatalf("%v\n%s\n%v\n%v", err, text, v.trouble, v.lines())
	}
}

func (v *visitor) open(path string) {
	v.t.Helper()
	v.run(chromedp.Navigate(v.http.URL+path), chromedp.WaitReady("#content"))
}

// eval runs a script in the page and gives its value.
func (v *visitor) eval(script string, out any) {
	v.t.Helper()
	v.run(chromedp.Evaluate(script, out, func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }))
}

func (v *visitor) text(selector string) string {
	v.t.Helper()
	var s string
	v.eval(fmt.Sprintf(`document.querySelector(%q)?.innerText ?? "missing"`, selector), &s)
	return s
}

// until waits for an expression to be true. While the browser goes to another
// page a look at it may fail; the next one counts.
func (v *visitor) until(expression string) {
	v.t.Helper()
	for range 600 {
		var ok bool
		ctx, cancel := context.WithTimeout(v.ctx, 20*time.Second)
		err := chromedp.Run(ctx, chromedp.Evaluate("document.readyState === 'complete' && ("+expression+")", &ok))
		cancel()
		if err == nil && ok {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	v.shot("failure")
	v.t.Fatalf("never true: %s\n%v\n%v", expression, v.trouble, v.lines())
}

// tile is the height of one picture of a long page, px.
const tile = 1800

// shot photographs the whole page, in tiles from top to bottom.
func (v *visitor) shot(name string) {
	// A browser that went away must not hold the test up.
	ctx, cancel := context.WithTimeout(v.ctx, time.Minute)
	defer cancel()
	var size [2]float64
	if chromedp.Run(ctx, chromedp.Evaluate(`[document.documentElement.clientWidth, document.documentElement.scrollHeight]`, &size)) != nil {
		return
	}
	for k, y := 0, 0.0; y < size[1]; k, y = k+1, y+tile {
		var b []byte
		clip := &printing.Viewport{Y: y, Width: size[0], Height: min(tile, size[1]-y), Scale: 1}
		err := chromedp.Run(ctx, chromedp.ActionFunc(func(ctx context.Context) (err error) {
			b, err = printing.CaptureScreenshot().WithClip(clip).WithCaptureBeyondViewport(true).Do(ctx)
			return err
		}))
		if err == nil {
			_ = os.WriteFile(filepath.Join(v.shots, fmt.Sprintf("%s-%s-%c.png", v.name, name, 'a'+k)), b, 0o644)
		}
	}
}

// window photographs what is in the window.
func (v *visitor) window(name string) {
	v.t.Helper()
	var b []byte
	v.run(chromedp.CaptureScreenshot(&b))
	require.NoError(v.t, os.WriteFile(filepath.Join(v.shots, v.name+"-"+name+".png"), b, 0o644))
}

// look photographs a page and has it checked: no serious fault of
// accessibility, nothing wider than the window.
func (v *visitor) look(name string) {
	v.t.Helper()
	v.shot(name)
	var wide []string
	v.eval(`(() => { const w = document.documentElement.clientWidth, d = document.documentElement.scrollWidth - w;
		return d <= 0 ? [] : ["by " + d, ...[...document.querySelectorAll("body *")].filter((e) => e.getBoundingClientRect().right > w + 0.5 &&
			!e.parentElement.closest(".scroll, svg")).slice(0, 5).map((e) => e.outerHTML.slice(0, 120))] })()`, &wide)
	if len(wide) > 0 {
		v.t.Errorf("%s: the page is wider than the window: %s", name, strings.Join(wide, "\n"))
	}
	var found string
	v.eval(v.axe+`;axe.run(document, {resultTypes: ["violations"]}).then((r) => JSON.stringify(r.violations.map((x) =>
		({id: x.id, impact: x.impact, nodes: x.nodes.slice(0, 4).map((n) => n.html.slice(0, 160) + " " + n.failureSummary)}))))`, &found)
	var faults []struct {
		ID, Impact string
		Nodes      []string
	}
	require.NoError(v.t, json.Unmarshal([]byte(found), &faults))
	for _, f := range faults {
		if f.Impact == "serious" || f.Impact == "critical" {
			v.t.Errorf("%s: %s (%s): %s", name, f.ID, f.Impact, strings.Join(f.Nodes, "\n"))
		} else {
			v.t.Logf("%s: %s (%s): %s", name, f.ID, f.Impact, f.Nodes[0])
		}
	}
	v.visited[name] = true
}

// quiet fails when anything was noted.
func (v *visitor) quiet() {
	v.t.Helper()
	v.notes.Lock()
	defer v.notes.Unlock()
	require.Empty(v.t, v.trouble)
}
