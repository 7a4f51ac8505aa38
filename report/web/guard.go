package web

import (
	"context"
	"fmt"
	"net/http"
	"runtime/debug"
	"slices"
	"strings"
)

// policy is the content security policy of every answer: nothing but this
// server's own files, no script or style in the page, no frame round it.
// connect-src is for the script's own requests (sending files, asking how far
// the computation is).
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; " +
	"form-action 'self'; frame-ancestors 'none'; base-uri 'none'"

// guard stands in front of every request. From the outside in: a panic ends one
// request only; time limits; headers; the Host and the origin are checked; the
// passphrase is asked for.
func (s *Server) guard(next http.Handler) http.Handler {
	origin := http.NewCrossOriginProtection()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer s.rescue(w, r)
		r, done := s.deadline(w, r)
		defer done()
		header(w.Header(), s.cfg.Passphrase != "")
		switch {
		case !slices.Contains(s.cfg.Hosts, strings.ToLower(r.Host)):
			s.refuse(w, http.StatusMisdirectedRequest, "setdown does not answer to this address. Open the one that stands in the window in which setdown was started.")
		case origin.Check(r) != nil || foreign(r):
			s.refuse(w, http.StatusForbidden, "This came from another web site and was not carried out. Open setdown's own address in the browser, and do it there.")
		case !s.gate.open(r):
			s.ask(w, r)
		default:
			if !isUpload(r) && r.Body != nil {
				r.Body = http.MaxBytesReader(w, r.Body, s.limits.FormBytes)
			}
			next.ServeHTTP(w, r)
		}
	})
}

// rescue turns a panic into a page and a line in the log.
func (s *Server) rescue(w http.ResponseWriter, r *http.Request) {
	p := recover()
	if p == nil {
		return
	}
	if p == http.ErrAbortHandler {
		panic(p)
	}
	s.cfg.Log(fmt.Sprintf("panic in %s %s: %v\n%s", r.Method, r.URL.EscapedPath(), p, debug.Stack()))
	s.refuse(w, http.StatusInternalServerError, "Something in setdown broke while it made this page. The other pages still work.")
}

// deadline limits how long a request may take to arrive and be answered.
func (s *Server) deadline(w http.ResponseWriter, r *http.Request) (*http.Request, context.CancelFunc) {
	limit := s.limits.FormTime
	if isUpload(r) {
		limit = s.limits.UploadTime
	}
	ctx, cancel := context.WithTimeout(r.Context(), limit)
	until, _ := ctx.Deadline()
	c := http.NewResponseController(w)
	// Not every writer has deadlines; those of tests do not.
	_ = c.SetReadDeadline(until)
	_ = c.SetWriteDeadline(until)
	return r.WithContext(ctx), cancel
}

// isUpload tells the two requests that may be long.
func isUpload(r *http.Request) bool {
	return r.Method == http.MethodPost && (r.URL.Path == "/upload" || r.URL.Path == "/cases/import")
}

func header(h http.Header, tls bool) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
	h.Set("Cache-Control", "no-store")
	if tls {
		h.Set("Strict-Transport-Security", "max-age=3600")
	}
}

// foreign tells a request that another site's page makes in the background:
// following a link to a page is allowed, reading data from one is not.
func foreign(r *http.Request) bool {
	site := r.Header.Get("Sec-Fetch-Site")
	return (site == "cross-site" || site == "same-site") && r.Header.Get("Sec-Fetch-Mode") != "navigate"
}

// refuse writes a plain answer that needs no template.
func (s *Server) refuse(w http.ResponseWriter, status int, text string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(status)
	fmt.Fprintln(w, text)
}
