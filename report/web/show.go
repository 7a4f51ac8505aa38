package web

import (
	"bytes"
	"context"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"mime/multipart"
	"net/http"
	"path"
	"strings"
	"unicode"
	"unicode/utf8"

	"setdown/report/casebook"
	report "setdown/report/page"
	"setdown/signal/recording"
)

//go:embed pages/*.gohtml
var pageFiles embed.FS

//go:embed static
var staticFiles embed.FS

// pages are the templates by name.
type pages map[string]*template.Template

// drawing places the bars of the small picture of a recording, 17 high.
var drawing = template.FuncMap{
	"twice": func(i int) int { return 2 * i },
	"under": func(v int) int { return 16 - v },
	"high":  func(v int) int { return v + 1 },
	"count": func(n int) []int {
		out := make([]int, n)
		for i := range out {
			out[i] = i
		}
		return out
	},
}

// parsePages reads each page together with the layout that is common to all.
func parsePages() (pages, error) {
	names, err := fs.Glob(pageFiles, "pages/*.gohtml")
	if err != nil {
		return nil, err
	}
	out := pages{}
	for _, name := range names {
		if name == "pages/layout.gohtml" {
			continue
		}
		t, err := template.New("").Funcs(drawing).ParseFS(pageFiles, "pages/layout.gohtml", name)
		if err != nil {
			return nil, err
		}
		out[strings.TrimSuffix(path.Base(name), ".gohtml")] = t
	}
	return out, nil
}

// shell is what the layout shows round a page.
type shell struct {
	// Title of the page, Here the address of the entry in the menu.
	Title, Here string
	// Case is set on the pages of a case.
	Case *casebook.Case
	// Tab is the entry of the case's menu: review, diary, compare or form; "" on a
	// page that has none.
	Tab string
	// Problem is what went wrong, Hint what to do about it.
	Problem, Hint string
	// Done is what was just done.
	Done string
	// Scripts are the files in static that the page runs.
	Scripts []string
	// Bare leaves the menu out, Wide uses the whole width; Refresh asks the
	// browser to load again where no script runs.
	Bare, Wide, Refresh bool
	// Locked tells that there is a passphrase to log out of.
	Locked bool
	// Limits are the short cautions at the foot.
	Limits string
	Body   any
}

// show renders into memory first, so that a fault is a clean page.
func (s *Server) show(w http.ResponseWriter, r *http.Request, status int, name string, sh shell, body any) error {
	sh.Body, sh.Limits, sh.Locked = body, report.Limits, s.cfg.Passphrase != ""
	if sh.Done == "" {
		sh.Done = notices[r.URL.Query().Get("done")]
	}
	var b bytes.Buffer
	if err := s.pages[name].ExecuteTemplate(&b, "layout", sh); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, err := b.WriteTo(w)
	return ignoreGone(err)
}

// notices are said after something was done; only these can stand in an
// address.
var notices = map[string]string{
	"saved":   "Saved.",
	"entry":   "The entry is in the diary.",
	"removed": "The entry was taken back. The rules still count what it said.",
	"deleted": "Deleted, with everything that was made of it. Exports and copies elsewhere are still there.",
	"left":    "Left out. All numbers below were made anew.",
	"undone":  "Taken back. All numbers below were made anew.",
	"import":  "The case was read in.",
	"closed":  "The case is closed. Print or save the letter below.",
	"opened":  "The case is open again.",
}

// ignoreGone drops errors of writing to a browser that went away.
func ignoreGone(error) error { return nil }

// writeJSON answers a script.
func writeJSON(w http.ResponseWriter, status int, v any) error {
	text, err := json.Marshal(v)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_, err = w.Write(text)
	return ignoreGone(err)
}

// static serves the embedded files and the style of the reports.
func (s *Server) static(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("name")
	w.Header().Set("Cache-Control", "no-cache")
	if name == "report.css" {
		w.Header().Set("Content-Type", "text/css; charset=utf-8")
		_, err := w.Write([]byte(report.Style() + report.ReviewStyle()))
		return ignoreGone(err)
	}
	data, err := staticFiles.ReadFile("static/" + name)
	if err != nil {
		return errNoPage
	}
	kind := map[string]string{".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}[path.Ext(name)]
	w.Header().Set("Content-Type", kind+"; charset=utf-8")
	_, err = w.Write(data)
	return ignoreGone(err)
}

// Errors that have a status of their own.
var (
	errNoPage = errors.New("there is no such page")
	errGone   = errors.New("this upload is no longer here: it was cancelled, became a session, or setdown was started anew; send the files again")
	errMethod = errors.New("nothing can be sent to this address: go to the start page and do it there")
)

// badForm marks a mistake in what was filled in. link, where it is set, is the place to
// put it right.
type badForm struct {
	msg  string
	link *link
}

func (e *badForm) Error() string { return e.msg }

func bad(format string, args ...any) error { return &badForm{msg: fmt.Sprintf(format, args...)} }

// statusOf maps an error to a status. Everything that is not known is a fault of
// the program or the machine and goes to the log.
func statusOf(err error) int {
	var form *badForm
	var data *recording.Error
	var twice *casebook.DuplicateError
	var large *http.MaxBytesError
	switch {
	case errors.Is(err, errNoPage), errors.Is(err, errGone), errors.Is(err, casebook.ErrNoCase), errors.Is(err, casebook.ErrNoSession):
		return http.StatusNotFound
	case errors.Is(err, errMethod):
		return http.StatusMethodNotAllowed
	case errors.As(err, &large):
		return http.StatusRequestEntityTooLarge
	case errors.As(err, &form), errors.As(err, &data), errors.As(err, &twice), errors.Is(err, casebook.ErrNameTaken),
		errors.Is(err, http.ErrNotMultipart), errors.Is(err, http.ErrMissingBoundary), errors.Is(err, multipart.ErrMessageTooLarge):
		return http.StatusBadRequest
	case errors.Is(err, casebook.ErrBusy), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return http.StatusServiceUnavailable
	case errors.Is(err, casebook.ErrFull):
		return http.StatusInsufficientStorage
	}
	return http.StatusInternalServerError
}

// fail shows an error as a page, or as JSON to a script.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	status := statusOf(err)
	text, hint := explain(err)
	if status >= 500 {
		s.cfg.Log(fmt.Sprintf("%s %s: %d: %v", r.Method, r.URL.EscapedPath(), status, err))
	}
	if r.Header.Get("Accept") == "application/json" {
		_ = writeJSON(w, status, map[string]string{"error": text, "hint": hint})
		return
	}
	title := map[int]string{http.StatusNotFound: "Not found", http.StatusBadRequest: "That did not work"}[status]
	if title == "" {
		title = "That did not work"
	}
	if err := s.show(w, r, status, "error", shell{Title: title, Problem: text, Hint: hint}, nil); err != nil {
		s.cfg.Log(err.Error())
		s.refuse(w, http.StatusInternalServerError, text)
	}
}

// whereTo is the place to put a mistake right; nil where there is none.
func whereTo(err error) *link {
	var form *badForm
	if errors.As(err, &form) {
		return form.link
	}
	return nil
}

// explain returns the sentence and the hint of an error, the same as on the
// command line.
func explain(err error) (text, hint string) {
	var data *recording.Error
	if errors.As(err, &data) {
		hint = onPage(data.Hint)
	}
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return fmt.Sprintf("The form holds more than %d bytes; nothing of it was kept.", large.Limit), ""
	}
	text = strings.Join(strings.Fields(err.Error()), " ")
	var form *badForm
	if errors.As(err, &form) || errors.Is(err, errNoPage) || errors.Is(err, errGone) || errors.Is(err, errMethod) {
		text = begun(text)
	}
	return text, hint
}

// begun begins a sentence with a capital, unless its first word is the name of a file.
func begun(text string) string {
	first, _, _ := strings.Cut(text, " ")
	if text == "" || strings.ContainsAny(first, "._") {
		return text
	}
	c, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(c)) + text[size:]
}
