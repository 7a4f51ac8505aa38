package web

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	printing "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// files writes uploads to the disk for the browser to choose.
func (v *visitor) files(all ...named) []string {
	dir := v.t.TempDir()
	var out []string
	for _, f := range all {
		name := filepath.Join(dir, f.name)
		require.NoError(v.t, os.WriteFile(name, f.data, 0o644))
		out = append(out, name)
	}
	return out
}

// drop drops files on the page as a hand does.
func (v *visitor) drop(all ...named) {
	v.t.Helper()
	v.eval(`(() => { const i = document.createElement("input"); i.type = "file"; i.id = "hand"; i.multiple = true; document.body.append(i); return true })()`, new(bool))
	v.run(chromedp.SetUploadFiles("#hand", v.files(all...)))
	v.eval(`(() => { const dt = new DataTransfer(); for (const f of document.getElementById("hand").files) dt.items.add(f);
		document.getElementById("upload").dispatchEvent(new DragEvent("drop", {dataTransfer: dt, bubbles: true, cancelable: true})); return true })()`, new(bool))
}

const ready = `document.querySelector("#reading") !== null`

func TestTheWholeWayOnAPhone(t *testing.T) { wholeWay(t, "phone", 360, 740, true) }

func TestTheWholeWayOnADesktop(t *testing.T) { wholeWay(t, "desktop", 1280, 900, false) }

// wholeWay goes from an empty start page over two sessions and the diary to the
// review.
func wholeWay(t *testing.T, name string, width, height int64, mobile bool) {
	a := newApp(t)
	v := newVisitor(t, a, name, width, height, mobile)
	v.open("/")
	v.look("01-start-empty")
	session := v.firstSession()
	v.steps()
	v.signal()
	v.paper(session, "07-print", 0)
	v.secondSession()
	v.diary()
	v.rest()
	v.quiet()
	require.Empty(t, a.lines())
}

func (v *visitor) firstSession() string {
	v.drop(feet(60, 0.3, 1)...)
	v.until(ready)
	v.look("02-check")
	v.run(chromedp.SetValue("#name", "Ann"), chromedp.Click(`input[name=injured][value=right]`), chromedp.Click(`#reading .main-button`))
	v.until(`document.querySelector("main.report h1") !== null`)
	require.Contains(v.t, v.text("main.report h1"), "injured right foot")
	v.until(`document.querySelector("#step-picture canvas").height > 100 && document.querySelector("#signal-picture canvas").height > 100`)
	v.look("03-session")
	var path string
	v.eval(`location.pathname`, &path)
	return path
}

// steps finds a step by the keyboard and by pointing, leaves it out, and takes
// it back.
func (v *visitor) steps() {
	headline := v.text("main.report h1")
	count := v.text(".sides .main .count")
	v.run(chromedp.Focus("#step-picture"))
	v.run(chromedp.KeyEvent(kb.End))
	v.until(`document.querySelector("#step-table .marked") !== null`)
	last := v.text("#step-said")
	require.Contains(v.t, last, "step")
	v.run(chromedp.KeyEvent(kb.ArrowLeft))
	for range 6 { // some steps back: the last ones of a run are often not used
		v.run(chromedp.KeyEvent(kb.ArrowLeft))
	}
	v.until(fmt.Sprintf(`document.querySelector("#step-said").innerText !== %q && document.querySelector("#step-table .marked") !== null`, last))
	v.run(chromedp.KeyEvent(kb.Enter))
	v.until(`document.querySelector("#step-table .marked input").checked`)
	v.eval(`(() => { document.getElementById("step-picture").scrollIntoView(); return true })()`, new(bool))
	v.window("04-step-picked")
	v.run(chromedp.Click("#leave > .buttons button"))
	v.until(`document.querySelector("#left-out li") !== null`)
	require.Contains(v.t, v.text("#left-out"), "step")
	require.NotEqual(v.t, count, v.text(".sides .main .count"), "one step less is counted")
	v.look("05-left-out")
	v.run(chromedp.Click("#left-out button"))
	v.until(`document.querySelector("#left-out") === null && document.querySelector("#step-picture canvas") !== null`)
	require.Equal(v.t, count, v.text(".sides .main .count"))
	require.Equal(v.t, headline, v.text("main.report h1"))
	v.pointAtASteps()
}

// pointAtASteps points or taps at the middle of the picture until a step is hit.
func (v *visitor) pointAtASteps() {
	v.until(`document.querySelector("#step-picture canvas").height > 100`)
	v.eval(`(async () => {
		const c = document.querySelector("#step-picture canvas"), box = document.getElementById("step-picture");
		for (let t = 0; t < 100 && !document.getElementById("step-said").innerText; t++) {
			const r = c.getBoundingClientRect();
			for (let y = 30; y < 200; y += 15) box.dispatchEvent(new MouseEvent("click", {clientX: r.left + r.width / 2, clientY: r.top + y, bubbles: true}));
			await new Promise((ok) => setTimeout(ok, 50));
		}
		return true })()`, new(bool))
	require.Contains(v.t, v.text("#step-said"), "step")
}

// signal zooms in until events are marked and takes the window over as a span.
func (v *visitor) signal() {
	v.until(`document.querySelector("#signal-picture canvas").height > 100`)
	for range 5 {
		v.run(chromedp.Click(`#signal-buttons [data-do=in]`))
	}
	v.until(`document.querySelector("#signal-said").innerText.includes("initial contacts")`)
	v.run(chromedp.Sleep(300 * time.Millisecond)) // for the picture to look at, nothing depends on it
	v.window("06-signal")
	v.run(chromedp.Click(`#signal-buttons [data-do=span]`))
	v.until(`document.getElementById("from").value !== "" && document.getElementById("span").open`)
}

// paper prints a page on A4 and Letter; sheets is how many it may take, 0 for any.
func (v *visitor) paper(path, what string, sheets int) {
	v.open(path)
	for name, size := range map[string][2]float64{"A4": {8.27, 11.69}, "letter": {8.5, 11}} {
		var pdf []byte
		v.run(chromedp.ActionFunc(func(ctx context.Context) (err error) {
			pdf, _, err = printing.PrintToPDF().WithPaperWidth(size[0]).WithPaperHeight(size[1]).WithPreferCSSPageSize(false).Do(ctx)
			return err
		}))
		require.Greater(v.t, len(pdf), 20000)
		require.Equal(v.t, "%PDF", string(pdf[:4]))
		if n := len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(pdf, -1)); sheets > 0 {
			require.Equal(v.t, sheets, n, "sheets of %s on %s", what, name)
		}
		require.NoError(v.t, os.WriteFile(filepath.Join(v.shots, v.name+"-"+what+"-"+name+".pdf"), pdf, 0o644))
	}
}

// secondSession sends files whose heading has the wrong unit and corrects it.
func (v *visitor) secondSession() {
	v.open("/")
	const lie = "time (s),acc x (g),acc y (g),acc z (g),gyr x (rad/s),gyr y (rad/s),gyr z (rad/s)"
	files := feet(60, 0.5, 2)
	v.run(chromedp.SetUploadFiles("#files", v.files(renamed(files[0], lie), renamed(files[1], lie)))) // choosing is enough
	v.until(ready)
	v.look("08-check-wrong-unit")
	v.eval(`(() => { const d = document.querySelector("details.columns"); d.open = true; return true })()`, new(bool))
	for i := 5; i <= 7; i++ {
		v.run(chromedp.SetValue(fmt.Sprintf(`select[name="unit-%d"]`, i), "deg/s"))
	}
	v.look("09-units-corrected")
	v.run(chromedp.Click("#again"))
	v.until(`document.querySelector("#reading .main-button") !== null`)
	require.Equal(v.t, "Is this right?", v.text("h1"))
	require.Equal(v.t, "missing", v.text(".problem"))
	require.Equal(v.t, "choose", v.text("#case option:checked"), "nobody's run before someone says so")
	v.eval(`(() => { document.getElementById("case").selectedIndex = 1; return true })()`, new(bool))
	v.run(chromedp.Click(`#reading .main-button`))
	v.until(`document.querySelector("main.report h1") !== null`)
}

// diary enters a person, a bad run and sees the advice change.
func (v *visitor) diary() {
	v.run(chromedp.Click(`.case a[href$="/form"]`))
	v.until(`document.querySelector("#limit") !== null`)
	v.look("10-person")
	v.run(chromedp.Click(`.case a[href$="/diary"]`))
	v.until(`document.querySelector("#entry") !== null`)
	before := v.text("#advice h2")
	v.look("11-diary")
	v.eval(`(() => { const s = document.getElementById("s-during"); s.value = "6"; s.dispatchEvent(new Event("input")); return true })()`, new(bool))
	require.Equal(v.t, "6", v.text("#o-during"))
	require.Equal(v.t, "not entered", v.text("#o-after"))
	v.run(chromedp.Click(`input[name=foot_cannot_be_lifted][value=yes]`), chromedp.Click(`#entry .main-button`))
	v.until(`document.querySelector(".done") !== null`)
	require.NotEqual(v.t, before, v.text("#advice h2"))
	require.Contains(v.t, v.text("#advice h2"), "clinician first")
	v.look("12-diary-after")
}

// rest visits the other pages.
func (v *visitor) rest() {
	v.run(chromedp.Click(`.case li:first-child a`))
	v.until(`document.querySelector(".review h1") !== null`)
	v.look("13-review")
	var path string
	v.eval(`location.pathname`, &path)
	for _, p := range []struct{ name, path string }{{"14-compare", path + "/compare?by=shoe"}, {"15-cases", "/cases"}, {"16-help", "/help"}, {"17-settings", "/settings"}, {"18-start", "/"}} {
		v.open(p.path)
		v.look(p.name)
	}
	require.NotContains(v.t, v.text("main"), "Not finished", "what became a session no longer waits")
	v.open("/settings")
	v.run(chromedp.Click(`#look input[value=dark]`))
	v.look("19-dark-settings")
	v.open(path)
	v.look("20-dark-review")
	v.run(chromedp.Click(`.after .lines a`))
	v.until(`document.querySelector("#step-picture canvas")?.height > 100`)
	v.run(chromedp.Sleep(400 * time.Millisecond))
	v.look("21-dark-session")
}

// Large text on a small phone broke numbers in the middle: 651 became 6, 5 and 1.
func TestLargeTextOnASmallPhone(t *testing.T) {
	a := newApp(t)
	v := newVisitor(t, a, "small", 320, 640, true)
	session := a.computed(newCase("Ann"), feet(60, 0.3, 1)...)
	review, _, _ := strings.Cut(session, "/sessions/")
	for name, path := range map[string]string{"start": "/", "session": session, "review": review, "compare": review + "/compare?by=shoe", "diary": review + "/diary"} {
		v.open(path)
		v.eval(`(() => { document.documentElement.style.fontSize = "200%"; for (const d of document.querySelectorAll("details")) d.open = true; return true })()`, new(bool))
		v.look("30-large-" + name)
		var broken []string
		v.eval(`[...document.querySelectorAll(".sides td b")].filter((e) => e.offsetHeight > 1.7 * parseFloat(getComputedStyle(e).fontSize) ||
			e.scrollWidth > e.clientWidth + 1).map((e) => e.innerText)`, &broken)
		require.Empty(t, broken, name)
	}
	v.quiet()
}

func TestThePassphrasePageInABrowser(t *testing.T) {
	a := newApp(t, withPhrase)
	v := newVisitor(t, a, "phone", 360, 740, true)
	v.open("/")
	require.Contains(t, v.text("main"), "Passphrase")
	v.look("22-passphrase")
	v.run(chromedp.SendKeys("#passphrase", "three words here"), chromedp.Click(".main-button"))
	v.until(`document.querySelector("#upload") !== null`)
	v.quiet()
}

func TestAMissingPageInABrowser(t *testing.T) {
	a := newApp(t)
	v := newVisitor(t, a, "desktop", 1280, 900, false)
	v.open("/nothing")
	v.look("23-missing")
}

func TestTheInventedCaseInABrowser(t *testing.T) {
	a := newApp(t)
	v := newVisitor(t, a, "phone", 360, 740, true)
	v.open("/")
	v.run(chromedp.Click(`form[action="/demo"] button`))
	v.until(`document.querySelector(".review h1") !== null`)
	v.look("24-invented-review")
	var path string
	v.eval(`location.pathname`, &path)
	v.open(path + "/compare?by=shoe")
	v.look("25-invented-compare")
	v.open(path + "/diary")
	v.look("26-invented-diary")
	v.open(path + "/letter")
	v.look("27-invented-letter")
	v.paper(path+"/letter", "28-letter", 1)
	v.open(path + "/letter")
	v.run(chromedp.SetValue("#by", "physio"), chromedp.Click(`button[value=close]`))
	v.until(`document.querySelector(".done") !== null`)
	v.look("29-closed-letter")
	v.run(chromedp.Click(`form[action$="/reopen"] button`))
	v.until(`document.querySelector(".review h1") !== null`)
	v.quiet()
}
