package web

import (
	"crypto/sha256"
	"crypto/subtle"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"time"
)

const (
	cookieName = "__Host-setdown"
	// stay is how long a passphrase once given holds.
	stay = 12 * time.Hour
	// freeTries may be wrong before each further one has to wait, doubling from
	// firstPause to longestPause (common practice, no source). The count is one
	// for all, so that many addresses do not help in guessing.
	freeTries    = 5
	firstPause   = 2 * time.Second
	longestPause = 5 * time.Minute
	// mostVisits bounds how many browsers are logged in at once.
	mostVisits = 50
)

// gate asks for the passphrase.
type gate struct {
	phrase [sha256.Size]byte
	asks   bool
	now    func() time.Time

	mu     sync.Mutex
	visits map[string]time.Time // token → end
	wrong  int
	next   time.Time
}

func newGate(cfg Config) *gate {
	return &gate{phrase: sha256.Sum256([]byte(cfg.Passphrase)), asks: cfg.Passphrase != "", now: cfg.Now, visits: map[string]time.Time{}}
}

// open tells whether the request may pass: no passphrase is asked for, it was
// given, or the page is the one that asks for it, or one of the files that every
// copy of setdown has.
func (g *gate) open(r *http.Request) bool {
	if !g.asks || r.URL.Path == "/login" || r.Method == http.MethodGet && strings.HasPrefix(r.URL.Path, "/static/") {
		return true
	}
	c, err := r.Cookie(cookieName)
	if err != nil {
		return false
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	end, ok := g.visits[c.Value]
	return ok && g.now().Before(end)
}

// try compares a phrase in constant time. pause is how long to wait before the
// next try when too many were wrong; the phrase is not looked at then.
func (g *gate) try(phrase string) (ok bool, pause time.Duration) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if wait := g.next.Sub(g.now()); wait > 0 {
		return false, wait
	}
	sum := sha256.Sum256([]byte(phrase))
	if subtle.ConstantTimeCompare(sum[:], g.phrase[:]) == 1 {
		g.wrong = 0
		return true, 0
	}
	g.wrong++
	if over := g.wrong - freeTries; over >= 0 {
		g.next = g.now().Add(min(longestPause, firstPause<<min(over, 10)))
	}
	return false, 0
}

// admit lets a browser in by a token.
func (g *gate) admit(token string) {
	g.mu.Lock()
	defer g.mu.Unlock()
	for t, end := range g.visits {
		if len(g.visits) >= mostVisits || !g.now().Before(end) {
			delete(g.visits, t)
		}
	}
	g.visits[token] = g.now().Add(stay)
}

func (g *gate) leave(token string) {
	g.mu.Lock()
	defer g.mu.Unlock()
	delete(g.visits, token)
}

// ask sends a browser to the page that asks; a script gets a status only.
func (s *Server) ask(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodGet && r.Header.Get("Sec-Fetch-Mode") != "cors" {
		http.Redirect(w, r, "/login", http.StatusSeeOther)
		return
	}
	s.refuse(w, http.StatusUnauthorized, "Give the passphrase first: open /login.")
}

func (s *Server) loginForm(w http.ResponseWriter, r *http.Request) error {
	return s.show(w, r, http.StatusOK, "login", shell{Title: "Passphrase", Bare: true}, nil)
}

func (s *Server) login(w http.ResponseWriter, r *http.Request) error {
	ok, pause := s.gate.try(r.PostFormValue("passphrase"))
	if !ok {
		text := "That is not the passphrase. It stands in the window in which setdown was started; ask whoever gave you the address."
		status := http.StatusForbidden
		if pause > 0 {
			text, status = fmt.Sprintf("Too many wrong tries. Wait %.0f seconds.", pause.Seconds()+1), http.StatusTooManyRequests
		}
		return s.show(w, r, status, "login", shell{Title: "Passphrase", Bare: true, Problem: text}, nil)
	}
	token, err := s.token()
	if err != nil {
		return err
	}
	s.gate.admit(token)
	http.SetCookie(w, &http.Cookie{Name: cookieName, Value: token, Path: "/", Secure: true, HttpOnly: true,
		SameSite: http.SameSiteStrictMode, MaxAge: int(stay.Seconds())})
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

func (s *Server) logout(w http.ResponseWriter, r *http.Request) error {
	if c, err := r.Cookie(cookieName); err == nil {
		s.gate.leave(c.Value)
	}
	http.SetCookie(w, &http.Cookie{Name: cookieName, Path: "/", Secure: true, HttpOnly: true, MaxAge: -1})
	http.Redirect(w, r, "/login", http.StatusSeeOther)
	return nil
}
