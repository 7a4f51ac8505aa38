// Package casebook keeps cases: who (by a pseudonym), which side, the sessions
// with their recordings, the pain diary, the strengthening done, and what was
// made of it. A casebook is one SQLite file with permissions for its owner only.
//
// Small facts (the case's form, diary entries, exercises, releases, conditions
// of a session) are records in a log that only grows: a correction is a new
// record under the same key, and the earlier value stays to be seen. Recordings
// are compressed blobs and live and die with their case: Delete leaves nothing
// of them in the file.
//
// Every write is one transaction on a rollback journal with full synchronising,
// so that a process killed at any moment leaves a casebook that opens and holds
// either the whole of a write or nothing of it. Several processes may write;
// each waits for the others.
//
// The package takes the time as an argument; it has no clock.
package casebook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"modernc.org/sqlite"
)

// FileName is the usual name of a casebook, for a default place.
const FileName = "setdown.casebook"

// applicationID marks the file as a casebook in SQLite's header ("sdcb").
const applicationID = 0x73646362

// busyMillis is how long, in ms, a write waits for another process.
const busyMillis = 20000

// Book is an open casebook. It is safe for use by several goroutines.
type Book struct {
	db   *sql.DB
	path string
}

// Errors that callers tell apart.
var (
	// ErrNoCase: there is no case of that name.
	ErrNoCase = errors.New("there is no such case")
	// ErrNameTaken: a case of that name exists.
	ErrNameTaken = errors.New("there is a case of that name already")
	// ErrTooEarly: the next morning's pain or stiffness of a run of today.
	ErrTooEarly = errors.New("has not come yet: enter it tomorrow, for the day of the run")
	// ErrNoSession: the case has no such session.
	ErrNoSession = errors.New("the case has no such session")
	// ErrNewer: a newer program made the file.
	ErrNewer = errors.New("the casebook was written by a newer setdown")
	// ErrNotCasebook: the file is something else.
	ErrNotCasebook = errors.New("the file is not a casebook")
	// ErrDamaged: what was written cannot be what this program wrote.
	ErrDamaged = errors.New("it was damaged, or changed by hand")
	// ErrFull: no room on the disk.
	ErrFull = errors.New("the disk is full; nothing was changed")
	// ErrBusy: another process kept the casebook too long.
	ErrBusy = errors.New("another program is writing to the casebook; try again")
	// ErrNone: no casebook at that place and none was to be made.
	ErrNone = errors.New("there is no casebook")
)

// DuplicateError says that the same recordings are in the case already.
type DuplicateError struct{ Session string }

// Error names the session that has them.
func (e *DuplicateError) Error() string {
	return "these recordings are in the case already, as session " + e.Session
}

// Create opens the casebook at path, making it, with its folder, when it does
// not exist. An older schema is brought up to date after a backup beside the
// file. The error wraps ErrNewer or ErrNotCasebook where that is the reason: a
// file that is there must be a casebook, and an empty one is none.
func Create(ctx context.Context, path string) (*Book, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, err
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := makeFile(ctx, path); err != nil {
			return nil, err
		}
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, fmt.Errorf("%s: %w: it is a folder", path, ErrNotCasebook)
	case info.Size() == 0:
		return nil, fmt.Errorf("%s: %w: it is empty", path, ErrNotCasebook)
	}
	return openPrivate(ctx, path)
}

// openPrivate takes a casebook's permissions from all but its owner, once it is
// known to be one: anything else that was named stays as it was.
func openPrivate(ctx context.Context, path string) (*Book, error) {
	b, err := open(ctx, path)
	if err != nil {
		return nil, err
	}
	if err := os.Chmod(path, 0o600); err != nil {
		return nil, errors.Join(err, b.Close())
	}
	return b, nil
}

// makeFile makes a casebook without cases. It is made beside path and then given
// its name, so that there is never half a casebook; where another process was
// quicker, that one's stays.
func makeFile(ctx context.Context, path string) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*") // mode 0600
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.Remove(f.Name())) }()
	if err := f.Close(); err != nil {
		return err
	}
	b, err := open(ctx, f.Name())
	if err != nil {
		return err
	}
	if err := b.Close(); err != nil {
		return err
	}
	if err := os.Link(f.Name(), path); err == nil || errors.Is(err, fs.ErrExist) {
		return nil
	}
	return copyNew(f.Name(), path) // a file system without hard links
}

// copyNew copies a file to a name that must be free.
func copyNew(from, to string) error {
	data, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Close())
}

// Open is Create without making anything: the error wraps ErrNone when there is
// no file at path.
func Open(ctx context.Context, path string) (*Book, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: %w", path, ErrNone)
	}
	return Create(ctx, path)
}

// Path returns where the casebook is.
func (b *Book) Path() string { return b.path }

// Close closes the casebook.
func (b *Book) Close() error { return b.db.Close() }

func open(ctx context.Context, path string) (*Book, error) {
	db, err := sql.Open("sqlite", dsn(path))
	if err != nil {
		return nil, err
	}
	b := &Book{db: db, path: path}
	if err := b.migrate(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", path, plain(err)), db.Close())
	}
	return b, nil
}

// dsn names the file with the settings that every connection must have.
// secure_delete overwrites what is deleted; a transaction takes its lock at the
// beginning, so that two writers wait for one another instead of failing.
func dsn(path string) string {
	q := url.Values{"_txlock": {"immediate"}, "_pragma": {
		fmt.Sprintf("busy_timeout(%d)", busyMillis), "journal_mode(DELETE)", "synchronous(FULL)", "foreign_keys(ON)", "secure_delete(ON)",
	}}
	u := url.URL{Scheme: "file", Opaque: (&url.URL{Path: filepath.ToSlash(path)}).EscapedPath(), RawQuery: q.Encode()}
	return u.String()
}

// change runs f in one write transaction.
func (b *Book) change(ctx context.Context, f func(tx *sql.Tx) error) error {
	tx, err := b.db.BeginTx(ctx, nil)
	if err != nil {
		return plain(err)
	}
	if err := f(tx); err != nil {
		return errors.Join(plain(err), ignoreDone(tx.Rollback()))
	}
	return plain(tx.Commit())
}

// ignoreDone drops the error of ending a transaction that the database has
// already ended, as it does when the disk is full.
func ignoreDone(err error) error {
	if errors.Is(err, sql.ErrTxDone) || err != nil && strings.Contains(err.Error(), "no transaction is active") {
		return nil
	}
	return err
}

// SQLite's primary result codes (sqlite.org/rescode.html).
const (
	codeBusy   = 5
	codeBad    = 11
	codeIOErr  = 10
	codeFull   = 13
	codeNotADB = 26
)

// plain turns SQLite's result codes into the package's errors.
func plain(err error) error {
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return err
	}
	switch e.Code() & 0xff {
	case codeFull:
		return fmt.Errorf("%w (%v)", ErrFull, err)
	case codeBusy:
		return fmt.Errorf("%w (%v)", ErrBusy, err)
	case codeBad:
		return fmt.Errorf("%w (%w)", ErrDamaged, err)
	case codeNotADB:
		return fmt.Errorf("%w (%v)", ErrNotCasebook, err)
	case codeIOErr:
		return fmt.Errorf("the casebook could not be written or read; is there room on the disk? %w", err)
	}
	return err
}

// Check runs SQLite's integrity check. The error lists what it found.
func (b *Book) Check(ctx context.Context) error {
	rows, err := b.db.QueryContext(ctx, "PRAGMA integrity_check")
	if err != nil {
		return plain(err)
	}
	defer rows.Close()
	var found []error
	for rows.Next() {
		var line string
		if err := rows.Scan(&line); err != nil {
			return err
		}
		if line != "ok" {
			found = append(found, errors.New(line))
		}
	}
	return errors.Join(append(found, rows.Err())...)
}
