package web

import (
	"io"
	"net/http"
)

// page is a handler that may fail; the failure becomes a page.
type page func(w http.ResponseWriter, r *http.Request) error

// routes lists every address.
func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	add := func(pattern string, h page) {
		mux.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) {
			sent := r.Body
			if err := h(w, r); err != nil {
				s.takeRest(sent)
				s.fail(w, r, err)
			}
		})
	}
	add("GET /{$}", s.start)
	add("GET /", func(http.ResponseWriter, *http.Request) error { return errNoPage })
	add("GET /static/{name}", s.static)
	add("GET /help", s.help)
	add("GET /settings", s.settings)
	add("GET /login", s.loginForm)
	add("POST /login", s.login)
	add("POST /logout", s.logout)

	add("POST /upload", s.upload)
	add("GET /upload/{id}", s.intakePage)
	add("GET /upload/{id}/state", s.intakeState)
	add("POST /upload/{id}/read", s.intakeReread)
	add("POST /upload/{id}/compute", s.intakeCompute)
	add("POST /upload/{id}/cancel", s.intakeCancel)
	add("POST /demo", s.demo)
	add("GET /demo", s.demoPage)
	add("GET /demo/state", s.demoState)

	add("GET /cases", s.cases)
	add("POST /cases", s.caseNew)
	add("POST /cases/import", s.caseImport)
	add("GET /cases/{case}", s.review)
	add("GET /cases/{case}/form", s.caseForm)
	add("POST /cases/{case}/form", s.caseChange)
	add("GET /cases/{case}/export", s.caseExport)
	add("POST /cases/{case}/delete", s.caseDelete)
	add("GET /cases/{case}/diary", s.diaryPage)
	add("POST /cases/{case}/diary", s.diarySave)
	add("POST /cases/{case}/diary/remove", s.diaryRemove)
	add("POST /cases/{case}/exercise", s.exerciseSave)
	add("POST /cases/{case}/release", s.releaseSave)
	add("GET /cases/{case}/compare", s.compare)
	add("GET /cases/{case}/letter", s.letterPage)
	add("POST /cases/{case}/letter", s.letterSave)
	add("POST /cases/{case}/reopen", s.reopen)

	const session = "/cases/{case}/sessions/{session}"
	add("GET "+session, s.session)
	add("GET "+session+"/session.json", s.sessionJSON)
	add("GET "+session+"/steps.csv", s.stepsCSV)
	add("GET "+session+"/report.html", s.reportHTML)
	add("GET "+session+"/steps.json", s.stepsJSON)
	add("GET "+session+"/steps", s.stepsTable)
	add("GET "+session+"/signal.json", s.signalJSON)
	add("POST "+session+"/leave", s.leaveOut)
	add("POST "+session+"/undo", s.undo)
	add("POST "+session+"/form", s.sessionChange)
	add("POST "+session+"/delete", s.sessionDelete)
	// Whoever opens the address of a form that was sent is led back to where it stands.
	back := func(w http.ResponseWriter, r *http.Request) error {
		return s.next(w, r, "/upload/"+r.PathValue("id"))
	}
	add("GET /upload/{id}/read", back)
	add("GET /upload/{id}/compute", back)
	return s.known(mux)
}

// known answers what no address takes with a page in place of the library's bare words.
func (s *Server) known(mux *http.ServeMux) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		none, pattern := mux.Handler(r)
		if pattern != "" {
			mux.ServeHTTP(w, r)
			return
		}
		none.ServeHTTP(headerOnly{w}, r) // says in the header what the address takes
		s.fail(w, r, errMethod)
	})
}

// headerOnly lets an answer fill in the header, and nothing else.
type headerOnly struct{ http.ResponseWriter }

func (headerOnly) WriteHeader(int)             {}
func (headerOnly) Write(b []byte) (int, error) { return len(b), nil }

// takeRest reads what is still being sent before a refusal is answered. A connection
// that is closed on a browser that sends loses the answer: of an upload that was
// refused at its first file it showed "connection reset" and not what to do.
func (s *Server) takeRest(body io.ReadCloser) {
	if body != nil {
		_, _ = io.Copy(io.Discard, io.LimitReader(body, s.limits.UploadBytes))
	}
}
