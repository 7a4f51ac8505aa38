package web

import (
	"context"
	"errors"
	"net/http"
	"sync"

	"setdown/report/casebook"
)

// demoRun is the making of the invented case, which takes some seconds.
type demoRun struct {
	mu      sync.Mutex
	work    *work // nil when it is not being made
	at, of  int
	problem *problem
}

// demo starts making the invented case, or leads to it when it is there.
func (s *Server) demo(w http.ResponseWriter, r *http.Request) error {
	s.invented.mu.Lock()
	defer s.invented.mu.Unlock()
	if s.invented.work == nil {
		c, err := s.cfg.Book.Find(r.Context(), casebook.DemoName)
		if err == nil {
			return s.next(w, r, "/cases/"+c.ID)
		}
		if !errors.Is(err, casebook.ErrNoCase) {
			return err
		}
		s.invented.at, s.invented.of, s.invented.problem = 0, 1, nil
		s.invented.work = s.queue.add(s.makeDemo)
	}
	return s.next(w, r, "/demo")
}

func (s *Server) makeDemo(ctx context.Context) {
	err := errors.New("it was broken off by a fault; the log of the server has it")
	defer func() {
		s.invented.mu.Lock()
		defer s.invented.mu.Unlock()
		s.invented.work = nil
		if err != nil {
			text, hint := explain(err)
			s.invented.problem = &problem{Text: "The invented case could not be made: " + text, Hint: hint}
			s.dropDemo(context.WithoutCancel(ctx))
		}
	}()
	_, err = s.cfg.Book.Demo(ctx, Analyze(s.cfg.Version), func(session, of int) {
		s.invented.mu.Lock()
		defer s.invented.mu.Unlock()
		s.invented.at, s.invented.of = session-1, of
	})
}

// dropDemo removes half a case.
func (s *Server) dropDemo(ctx context.Context) {
	c, err := s.cfg.Book.Find(ctx, casebook.DemoName)
	if err == nil {
		err = s.cfg.Book.Delete(ctx, c.ID)
	}
	if err != nil && !errors.Is(err, casebook.ErrNoCase) {
		s.cfg.Log("half an invented case is left: " + err.Error())
	}
}

// demoView is the page while the case is made.
type demoView struct {
	Percent, Ahead int
	Problem        *problem
}

func (s *Server) demoPage(w http.ResponseWriter, r *http.Request) error {
	s.invented.mu.Lock()
	running, v := s.invented.work != nil, demoView{Problem: s.invented.problem}
	if running {
		v.Percent, v.Ahead = 100*s.invented.at/s.invented.of, s.queue.ahead(s.invented.work)
	}
	s.invented.mu.Unlock()
	if !running && v.Problem == nil {
		c, err := s.cfg.Book.Find(r.Context(), casebook.DemoName)
		if err != nil {
			return err
		}
		http.Redirect(w, r, "/cases/"+c.ID, http.StatusSeeOther)
		return nil
	}
	return s.show(w, r, http.StatusOK, "demo", shell{Title: "The invented case", Here: "/", Scripts: []string{"check.js"}, Refresh: running}, v)
}

func (s *Server) demoState(w http.ResponseWriter, r *http.Request) error {
	s.invented.mu.Lock()
	defer s.invented.mu.Unlock()
	if s.invented.work == nil {
		return writeJSON(w, http.StatusOK, map[string]any{"phase": phaseDone, "next": "/demo"})
	}
	return writeJSON(w, http.StatusOK, map[string]any{"phase": phaseComputing, "percent": 100 * s.invented.at / s.invented.of, "ahead": s.queue.ahead(s.invented.work)})
}
