package casebook

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"io"
	"path/filepath"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/gait/diary"
	"setdown/report/page"
)

// crowd makes a casebook whose case "fox" has n sessions and diary entries. The
// sessions go in by one transaction, for speed.
func crowd(t testing.TB, n int) (*Book, Case) {
	t.Helper()
	b, err := Create(t.Context(), filepath.Join(t.TempDir(), "x.casebook"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, b.Close()) })
	c := newCase(t, b, "fox")
	err = b.change(t.Context(), func(tx *sql.Tx) error {
		for i := range n {
			f := form(n - i)
			p, err := pack(sources(uint64(i), 2000)[0])
			require.NoError(t, err)
			id := f.Date.String() + "-" + p.SHA256[:6]
			if err := insertSession(t.Context(), tx, c.ID, id, p.SHA256, f, []packed{p}, analysis("1"), now); err != nil {
				return err
			}
			if _, err := write(t.Context(), tx, c.ID, kindEntry, EntryID(f.Date, 1), now, diary.Entry{Date: f.Date, Run: true}); err != nil {
				return err
			}
		}
		return nil
	})
	require.NoError(t, err)
	return b, c
}

// work counts what a casebook asks of its file.
type work struct{ queries, rows atomic.Int64 }

// counted is a driver whose queries and rows are counted.
type counted struct {
	inner driver.Driver
	*work
}

type countedConn struct {
	driver.Conn
	*work
}

type countedRows struct {
	driver.Rows
	*work
}

func (c counted) Open(name string) (driver.Conn, error) {
	conn, err := c.inner.Open(name)
	return countedConn{conn, c.work}, err
}

func (c countedConn) QueryContext(ctx context.Context, query string, args []driver.NamedValue) (driver.Rows, error) {
	c.queries.Add(1)
	rows, err := c.Conn.(driver.QueryerContext).QueryContext(ctx, query, args)
	return countedRows{rows, c.work}, err
}

func (r countedRows) Next(dest []driver.Value) error {
	err := r.Rows.Next(dest)
	if err != io.EOF {
		r.rows.Add(1)
	}
	return err
}

// connector lets database/sql open a driver that has no name.
type connector struct {
	counted
	name string
}

func (c connector) Connect(context.Context) (driver.Conn, error) { return c.Open(c.name) }
func (c connector) Driver() driver.Driver                        { return c.counted }

// reviewWork makes the review of a case and returns the queries and rows that
// it took, and the bytes that were allocated on the way to the page.
func reviewWork(t *testing.T, b *Book, c Case) (queries, rows, bytes int64) {
	t.Helper()
	var w work
	db := sql.OpenDB(connector{counted{b.db.Driver(), &w}, dsn(b.path)})
	defer func() { require.NoError(t, db.Close()) }()
	watched := &Book{db: db, path: b.path}
	require.NoError(t, db.PingContext(t.Context()))
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	reviewed(t, watched, c)
	runtime.ReadMemStats(&after)
	return w.queries.Load(), w.rows.Load(), int64(after.TotalAlloc - before.TotalAlloc)
}

func reviewed(t testing.TB, b *Book, c Case) {
	t.Helper()
	r, err := b.Review(context.Background(), c.ID, diary.DateOf(now), "test")
	require.NoError(t, err)
	require.NotEmpty(t, r.Follow.Because)
	require.NoError(t, page.WriteReview(io.Discard, r))
}

// Ten times the sessions take no query more and ten times the rows: work is
// counted, because times on a shared machine say nothing.
func TestTheWorkOfAReviewGrowsWithItsSessionsOnly(t *testing.T) {
	n, more := 12, 120
	if !testing.Short() {
		n, more = 100, 1000
	}
	small, cs := crowd(t, n)
	large, cl := crowd(t, more)
	q1, r1, b1 := reviewWork(t, small, cs)
	q2, r2, b2 := reviewWork(t, large, cl)
	var mem runtime.MemStats
	runtime.ReadMemStats(&mem)
	t.Logf("%d and %d sessions: %d and %d queries, %d and %d rows, %.1f and %.1f kB allocated a session; memory from the system %d MB, file %d MB",
		n, more, q1, q2, r1, r2, float64(b1)/float64(n)/1024, float64(b2)/float64(more)/1024, mem.Sys>>20, fileSize(large.Path())>>20)
	require.Equal(t, q1, q2, "queries")
	perSession := float64(r2-r1) / float64(more-n)
	require.Greater(t, r1, int64(n), "nothing was counted")
	require.InDelta(t, float64(r1)/float64(n), perSession, 1, "rows a session")
	require.LessOrEqual(t, float64(b2)/float64(more), 3*float64(b1)/float64(n), "bytes allocated a session")
	require.LessOrEqual(t, mem.Sys>>20, uint64(300), "MB")
}

// BenchmarkReview prints the time of a review with 1,000 sessions against one
// with 100, a session, measured in turn within one run.
func BenchmarkReview(b *testing.B) {
	small, cs := crowd(b, 100)
	large, cl := crowd(b, 1000)
	var ts, tl time.Duration
	for b.Loop() {
		begin := time.Now()
		reviewed(b, small, cs)
		middle := time.Now()
		reviewed(b, large, cl)
		ts, tl = ts+middle.Sub(begin), tl+time.Since(middle)
	}
	b.ReportMetric(tl.Seconds()/1000/(ts.Seconds()/100), "ratio/session")
}
