package web

import (
	"context"
	"net/http/httptest"
	"testing"

	"github.com/stretchr/testify/require"
)

// between is a context that does something the first time a query looks at it.
type between struct {
	context.Context
	do func()
}

func (b *between) Done() <-chan struct{} {
	if do := b.do; do != nil {
		b.do = nil
		do()
	}
	return b.Context.Done()
}

// A computation may end while its page is being made. The page then asked “Is this right?”
// and said that nothing had been computed, for good.
func TestAPageThatIsMadeWhileTheWorkEndsLeadsToTheResult(t *testing.T) {
	a := newApp(t)
	in := &intake{id: "1", root: a.server.cfg.Folder, phase: phaseComputing}
	require.NoError(t, a.server.intakes.add(in))
	r := httptest.NewRequest("GET", "/upload/1", nil)
	r.SetPathValue("id", "1")
	ends := func() {
		in.mu.Lock()
		in.phase, in.done = phaseDone, "/cases/c/sessions/s"
		in.mu.Unlock()
	}
	w := httptest.NewRecorder()
	require.NoError(t, a.server.intakePage(w, r.WithContext(&between{r.Context(), ends})))
	require.Equal(t, 303, w.Code)
	require.Equal(t, "/cases/c/sessions/s", w.Header().Get("Location"))
}
