package casebook

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// childEnv tells the test binary to be a writer instead of a test:
// "PATH|first seed|sessions|bytes".
const childEnv = "SETDOWN_CASEBOOK_WRITER"

func TestMain(m *testing.M) {
	if spec := os.Getenv(childEnv); spec != "" {
		os.Exit(writer(spec))
	}
	os.Exit(m.Run())
}

// writer adds sessions to the case "fox" until it has added them all.
func writer(spec string) int {
	path, rest, _ := cut(spec)
	seed, count, size := 0, 0, 0
	if _, err := fmt.Sscanf(rest, "%d|%d|%d", &seed, &count, &size); err != nil {
		fmt.Println(err)
		return 2
	}
	ctx := context.Background()
	b, err := Open(ctx, path)
	if err != nil {
		fmt.Println(err)
		return 1
	}
	c, err := b.Find(ctx, "fox")
	if err != nil {
		fmt.Println(err)
		return 1
	}
	fmt.Println("ready")
	for i := range count {
		if _, err := b.AddSession(ctx, c.ID, form((seed+i)%9000), sources(uint64(seed+i), size), analysis("1"), now); err != nil {
			fmt.Println(err)
			return 1
		}
		fmt.Println("added")
	}
	return 0
}

func cut(spec string) (path, rest string, ok bool) {
	for i := range spec {
		if spec[i] == '|' {
			return spec[:i], spec[i+1:], true
		}
	}
	return spec, "", false
}

func start(t *testing.T, path string, seed, count, size int) (*exec.Cmd, *bufio.Scanner) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childEnv+"="+path+"|"+strconv.Itoa(seed)+"|"+strconv.Itoa(count)+"|"+strconv.Itoa(size))
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	return cmd, bufio.NewScanner(out)
}

// whole fails unless the casebook is sound and every session in it complete.
func whole(t *testing.T, path string) int {
	t.Helper()
	b, err := Open(t.Context(), path)
	require.NoError(t, err)
	defer b.Close()
	require.NoError(t, b.Check(t.Context()))
	c, err := b.Find(t.Context(), "fox")
	require.NoError(t, err)
	ss := sessions(t, b, c)
	for _, s := range ss {
		require.False(t, s.Form.Date.IsZero(), "its form is there")
		require.Equal(t, []string{"1"}, s.Methods, "its analysis is there")
		src, err := b.Recordings(t.Context(), c.ID, s.ID)
		require.NoError(t, err, "its recordings are there and match their hashes")
		require.Len(t, src, 2)
	}
	log, err := b.History(t.Context(), c.ID)
	require.NoError(t, err)
	require.Len(t, log, 1+len(ss), "no record without its session")
	return len(ss)
}

// A process that is killed at any moment of adding sessions leaves a casebook
// that opens, is sound, and holds only whole sessions: every one whose adding
// had returned, and at most one more.
func TestKilledAtAnyMoment(t *testing.T) {
	kills := 100
	if testing.Short() {
		kills = 8
	}
	path := filepath.Join(t.TempDir(), "x.casebook")
	b, err := Create(t.Context(), path)
	require.NoError(t, err)
	newCase(t, b, "fox")
	require.NoError(t, b.Close())
	r := rand.New(rand.NewPCG(7, 7))
	have, mid := 0, 0
	for i := range kills {
		cmd, out := start(t, path, 1000*(i+1), 50, 15_000)
		added := 0
		require.True(t, out.Scan())
		require.Equal(t, "ready", out.Text())
		kill := time.AfterFunc(time.Duration(r.IntN(120_000))*time.Microsecond, func() { _ = cmd.Process.Kill() })
		for out.Scan() {
			require.Equal(t, "added", out.Text())
			added++
		}
		kill.Stop()
		_ = cmd.Wait()
		journal := fileSize(path + "-journal")
		if journal > 0 {
			mid++
		}
		got := whole(t, path)
		require.GreaterOrEqual(t, got, have+added, "kill %d: a session whose adding had returned is lost", i)
		require.LessOrEqual(t, got, have+added+1, "kill %d", i)
		have = got
	}
	t.Logf("%d kills, %d with a transaction half done; %d sessions at the end", kills, mid, have)
	if !testing.Short() {
		require.Greater(t, mid, 3, "the kills hardly ever met a transaction")
		require.Greater(t, have, 10, "hardly anything was ever added")
	}
}

func fileSize(path string) int64 {
	info, err := os.Stat(path)
	if err != nil {
		return 0
	}
	return info.Size()
}

// Two processes that write at once lose nothing.
func TestTwoProcessesWriteAtOnce(t *testing.T) {
	n := 25
	if testing.Short() {
		n = 5
	}
	path := filepath.Join(t.TempDir(), "x.casebook")
	b, err := Create(t.Context(), path)
	require.NoError(t, err)
	newCase(t, b, "fox")
	require.NoError(t, b.Close())
	var group sync.WaitGroup
	errs := make([]error, 2)
	for i := range errs {
		cmd, out := start(t, path, 1000*(i+1), n, 20_000)
		group.Go(func() {
			last := ""
			for out.Scan() {
				last = out.Text()
			}
			if errs[i] = cmd.Wait(); errs[i] != nil {
				errs[i] = errors.Join(errs[i], errors.New(last))
			}
		})
	}
	group.Wait()
	require.NoError(t, errors.Join(errs...))
	require.Equal(t, 2*n, whole(t, path))
}

// Two goroutines that correct one form at once both count.
func TestTwoCorrectionsAtOnce(t *testing.T) {
	b := newBook(t)
	c := newCase(t, b, "fox")
	var group sync.WaitGroup
	errs := make([]error, 20)
	for i := range errs {
		group.Go(func() {
			errs[i] = b.ChangeCase(context.Background(), c.ID, now, func(c *Case) error { c.Remarks += "x"; return nil })
		})
	}
	group.Wait()
	require.NoError(t, errors.Join(errs...))
	got, err := b.Find(t.Context(), "fox")
	require.NoError(t, err)
	require.Len(t, got.Remarks, 20)
}

// A full database gives ErrFull, changes nothing and can be used afterwards.
func TestFullDisk(t *testing.T) {
	b := newBook(t)
	c := newCase(t, b, "fox")
	add(t, b, c, 1, 3)
	b.db.SetMaxOpenConns(1) // the limit belongs to the connection
	var pages int
	require.NoError(t, b.db.QueryRow("PRAGMA page_count").Scan(&pages))
	_, err := b.db.Exec(fmt.Sprintf("PRAGMA max_page_count = %d", pages+5))
	require.NoError(t, err)
	_, err = b.AddSession(t.Context(), c.ID, form(1), sources(2, 500_000), analysis("1"), now)
	require.ErrorIs(t, err, ErrFull)
	require.Len(t, sessions(t, b, c), 1)
	require.NoError(t, b.Check(t.Context()))
	_, err = b.db.Exec("PRAGMA max_page_count = 1000000")
	require.NoError(t, err)
	_, err = b.AddSession(t.Context(), c.ID, form(1), sources(2, 500_000), analysis("1"), now)
	require.NoError(t, err)
}
