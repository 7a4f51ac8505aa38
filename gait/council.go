package gait

import (
	"context"
	"sync"

	"setdown/gait/event"
)

// council lets the feet of one session decide together how initial contact is
// read. Each track brings what its first minutes show and waits for the others;
// what comes out does not depend on who came first. All tracks are read at the
// same time, so nobody waits for a seat.
type council struct {
	mu      sync.Mutex
	missing int
	studies []*event.LandingStudy
	answers []event.Landings
	done    chan struct{}
}

func newCouncil(seats int) *council {
	return &council{missing: seats, studies: make([]*event.LandingStudy, seats), done: make(chan struct{})}
}

// decide hands in the study of a seat and returns its answer. A track that
// failed never comes; its error ends ctx and with it the waiting.
func (c *council) decide(ctx context.Context, seat int, s *event.LandingStudy) (event.Landings, error) {
	c.mu.Lock()
	c.studies[seat] = s
	c.missing--
	if c.missing == 0 {
		c.answers = event.DecideLandings(c.studies)
		close(c.done)
	}
	c.mu.Unlock()
	select {
	case <-c.done:
		return c.answers[seat], nil
	case <-ctx.Done():
		return event.Landings{}, ctx.Err()
	}
}
