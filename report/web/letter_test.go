package web

import (
	"html"
	"maps"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/report/casebook"
)

// must returns a case as it is kept.
func (a *app) must(id string) casebook.Case {
	a.t.Helper()
	c, err := a.server.cfg.Book.Find(a.t.Context(), id)
	require.NoError(a.t, err)
	return c
}

// andField is fields with one more.
func andField(fields url.Values, key, value string) url.Values {
	out := maps.Clone(fields)
	out.Set(key, value)
	return out
}

func TestACaseIsClosedWithItsLetterAndOpenedAgain(t *testing.T) {
	a := newApp(t)
	path := a.computed(newCase("Ann"), feet(60, 0.3, 1)...)
	id, _, err := a.ids(path)
	require.NoError(t, err)
	c := "/cases/" + id
	has(t, a.ok(c), c+"/letter")
	has(t, a.ok(c+"/letter"), "1 session with foot sensors")
	lacks(t, a.ok(c+"/letter"), "1 sessions")

	fields := url.Values{"to": {"the <GP>"}, "by": {"physio"}, "note": {"Seen twice."}, "on": {"2026-06-01"}}
	shown := a.post(c+"/letter", andField(fields, "do", "show"))
	require.Equal(t, 200, shown.status)
	has(t, shown.body, "To: the &lt;GP&gt;")
	has(t, shown.body, "<p>Seen twice.</p>")
	file := a.post(c+"/letter", andField(fields, "do", "file"))
	require.Contains(t, file.header.Get("Content-Disposition"), "letter.html")
	has(t, file.body, "<p>Seen twice.</p>")
	has(t, file.body, "<style>", "the file stands for itself")
	require.Empty(t, a.must(id).ClosedBy, "showing and saving close nothing")

	closed := a.post(c+"/letter", andField(fields, "do", "close"))
	require.Equal(t, 200, closed.status, closed.body)
	has(t, closed.body, "The case is closed.")
	require.Equal(t, "2026-06-01", a.must(id).Closed.String())
	require.Equal(t, "physio", a.must(id).ClosedBy)
	has(t, html.UnescapeString(a.ok(c+"/letter")), "closed on 1 June 2026 by physio")
	lacks(t, a.ok("/"), ">Ann<", "a closed case takes no new runs")
	upload := a.taken(feet(60, 0.3, 4)...)
	got := a.post(upload+"/compute", url.Values{"case": {id}, "date": {"2026-06-01"}})
	require.Equal(t, 400, got.status)
	has(t, got.body, "is closed; open it again")

	require.Equal(t, 303, a.post(c+"/reopen", nil).status)
	require.True(t, a.must(id).Closed.IsZero())
	require.Equal(t, 303, a.post(upload+"/compute", url.Values{"case": {id}, "date": {"2026-06-01"}}).status)
	require.Equal(t, phaseDone, a.settled(upload).Phase)
}

func TestALetterOfADayToComeClosesNothing(t *testing.T) {
	a := newApp(t)
	c := a.fresh("Ann")
	got := a.post(c+"/letter", url.Values{"on": {"2026-07-01"}, "do": {"close"}, "note": {"words that were typed"}})
	require.Equal(t, 400, got.status)
	has(t, got.body, "lies after today")
	has(t, got.body, "words that were typed", "nothing that was filled in is lost")
	lacks(t, got.body, "The case is closed.")
	require.True(t, a.must(strings.TrimPrefix(c, "/cases/")).Closed.IsZero())
}
