package casebook

import (
	"database/sql"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/diary"
)

// update makes testdata/schemaN.casebook anew. Do so only for a version that
// was never released.
var update = flag.Bool("update-schemas", false, "write testdata/schema*.casebook anew")

// older returns a copy of the stored file of a schema version.
func older(t *testing.T, version int) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", fmt.Sprintf("schema%d.casebook", version)))
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "old.casebook")
	require.NoError(t, os.WriteFile(path, data, 0o600))
	return path
}

// writeOlder makes a file of schema 1 with one invented case of two sessions,
// by copying a present one into the old tables.
func writeOlder(t *testing.T) {
	b := newBook(t)
	c := newCase(t, b, "old fox")
	add(t, b, c, 1, 9)
	add(t, b, c, 2, 5)
	day := diary.DateOf(now)
	require.NoError(t, b.ChangeEntry(t.Context(), c.ID, EntryID(day, 1), day, now, func(e *diary.Entry) error { e.Run = true; return nil }))
	path := filepath.Join("testdata", "schema1.casebook")
	require.NoError(t, os.MkdirAll("testdata", 0o755))
	require.NoError(t, os.RemoveAll(path))
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	db.SetMaxOpenConns(1)
	for _, q := range []string{
		migrations[0], "ATTACH '" + b.Path() + "' AS new",
		"INSERT INTO cases SELECT * FROM new.cases", "INSERT INTO records SELECT * FROM new.records",
		"INSERT INTO sessions SELECT * FROM new.sessions", "INSERT INTO recordings SELECT * FROM new.recordings",
		"INSERT INTO analyses SELECT session, method, tool, settings, added, summary, session_json, steps FROM new.analyses",
		"DETACH new", fmt.Sprintf("PRAGMA application_id = %d", applicationID), "PRAGMA user_version = 1", "VACUUM",
	} {
		_, err := db.Exec(q)
		require.NoError(t, err, q)
	}
	require.NoError(t, db.Close())
}

func TestEveryOlderSchemaIsBroughtUpToDateAfterABackup(t *testing.T) {
	if *update {
		writeOlder(t)
	}
	for version := 1; version < SchemaVersion; version++ {
		path := older(t, version)
		b, err := Open(t.Context(), path)
		require.NoError(t, err)
		got, _, err := b.version(t.Context())
		require.NoError(t, err)
		require.Equal(t, SchemaVersion, got)
		c, err := b.Find(t.Context(), "old fox")
		require.NoError(t, err)
		ss := sessions(t, b, c)
		require.Len(t, ss, 2)
		require.Equal(t, 120, ss[0].Summary.UsedLeft)
		require.Nil(t, ss[0].Curves, "not kept in those days")
		src, err := b.Recordings(t.Context(), c.ID, ss[0].ID)
		require.NoError(t, err)
		require.Len(t, src, 2)
		log, err := b.Diary(t.Context(), c.ID)
		require.NoError(t, err)
		require.Len(t, log.Entries, 1)
		add(t, b, c, 7, 1) // and it can be written to
		require.NoError(t, b.Check(t.Context()))
		require.NoError(t, b.Close())

		backup := BackupName(path, version)
		info, err := os.Stat(backup)
		require.NoError(t, err)
		require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
		db, err := sql.Open("sqlite", backup)
		require.NoError(t, err)
		var n int
		require.NoError(t, db.QueryRow("PRAGMA user_version").Scan(&n))
		require.Equal(t, version, n, "the backup is the file as it was")
		require.NoError(t, db.QueryRow("SELECT count(*) FROM sessions").Scan(&n))
		require.Equal(t, 2, n)
		require.NoError(t, db.Close())
	}
}

func TestANewerSchemaIsRefusedAndNotTouched(t *testing.T) {
	b := newBook(t)
	newCase(t, b, "fox")
	_, err := b.db.Exec(fmt.Sprintf("PRAGMA user_version = %d", SchemaVersion+1))
	require.NoError(t, err)
	before, err := os.ReadFile(b.Path())
	require.NoError(t, err)
	_, err = Open(t.Context(), b.Path())
	require.ErrorIs(t, err, ErrNewer)
	require.ErrorContains(t, err, "use the newer program")
	after, err := os.ReadFile(b.Path())
	require.NoError(t, err)
	require.Equal(t, before, after)
}

func TestAnotherProgramsDatabaseIsRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "other.db")
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	_, err = db.Exec("CREATE TABLE other (x)")
	require.NoError(t, err)
	require.NoError(t, db.Close())
	_, err = Open(t.Context(), path)
	require.ErrorIs(t, err, ErrNotCasebook)
}

// The version is four bytes of the header (sqlite.org/fileformat.html, offset 60).
func TestAVersionThatNoProgramWritesIsDamage(t *testing.T) {
	b := newBook(t)
	newCase(t, b, "fox")
	require.NoError(t, b.Close())
	text, err := os.ReadFile(b.Path())
	require.NoError(t, err)
	text[60] = 0xff
	require.NoError(t, os.WriteFile(b.Path(), text, 0o600))
	_, err = Open(t.Context(), b.Path())
	require.ErrorIs(t, err, ErrDamaged)
}

func TestAMigrationThatFailsLeavesTheFileAsItWas(t *testing.T) {
	path := older(t, 1)
	good := migrations
	t.Cleanup(func() { migrations = good })
	migrations = []string{good[0], good[1] + "; CREATE TABLE cases (x);"}
	_, err := Open(t.Context(), path)
	require.Error(t, err)
	migrations = good
	b, err := Open(t.Context(), path)
	require.NoError(t, err)
	c, err := b.Find(t.Context(), "old fox")
	require.NoError(t, err)
	require.Len(t, sessions(t, b, c), 2)
	require.NoError(t, b.Close())
}
