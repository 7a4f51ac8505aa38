package casebook

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"strings"
)

// migrations bring a casebook from schema version i to i+1. They are never
// edited, only appended to; testdata holds a file of each earlier version.
var migrations = []string{
	// 1: the first schema.
	`CREATE TABLE cases (
		id   TEXT PRIMARY KEY,
		name TEXT NOT NULL UNIQUE COLLATE NOCASE
	) WITHOUT ROWID;
	CREATE TABLE records (
		seq      INTEGER PRIMARY KEY AUTOINCREMENT,
		case_id  TEXT NOT NULL REFERENCES cases(id) ON DELETE CASCADE,
		kind     TEXT NOT NULL,
		key      TEXT NOT NULL,
		recorded TEXT NOT NULL,
		body     TEXT NOT NULL
	);
	CREATE TABLE sessions (
		row         INTEGER PRIMARY KEY,
		case_id     TEXT NOT NULL REFERENCES cases(id) ON DELETE CASCADE,
		id          TEXT NOT NULL,
		fingerprint TEXT NOT NULL,
		UNIQUE (case_id, id),
		UNIQUE (case_id, fingerprint)
	);
	CREATE TABLE recordings (
		session INTEGER NOT NULL REFERENCES sessions(row) ON DELETE CASCADE,
		ord     INTEGER NOT NULL,
		name    TEXT NOT NULL,
		side    TEXT NOT NULL,
		sha256  TEXT NOT NULL,
		bytes   INTEGER NOT NULL,
		packed  BLOB NOT NULL,
		PRIMARY KEY (session, ord)
	) WITHOUT ROWID;
	CREATE TABLE analyses (
		session      INTEGER NOT NULL REFERENCES sessions(row) ON DELETE CASCADE,
		method       TEXT NOT NULL,
		tool         TEXT NOT NULL,
		settings     TEXT NOT NULL,
		added        TEXT NOT NULL,
		summary      TEXT NOT NULL,
		session_json BLOB NOT NULL,
		steps        BLOB NOT NULL,
		PRIMARY KEY (session, method, settings)
	);`,
	// 2: the mean lowering of each side, for pictures, and an index without which
	// a long log is read whole for each case.
	`ALTER TABLE analyses ADD COLUMN curves TEXT NOT NULL DEFAULT '';
	CREATE INDEX records_of_case ON records (case_id, kind, key);`,
}

// SchemaVersion is the version that this program writes.
var SchemaVersion = len(migrations)

// migrate brings the file to SchemaVersion. A file of an earlier version is
// copied first, beside itself.
func (b *Book) migrate(ctx context.Context) error {
	version, app, err := b.version(ctx)
	if err != nil {
		return err
	}
	switch {
	case version == len(migrations) && app == applicationID:
		return nil
	case version < 0: // no program writes this; the bytes of the header are wrong
		return ErrDamaged
	case version > len(migrations):
		return fmt.Errorf("%w: schema %d, and this one knows up to %d; use the newer program", ErrNewer, version, len(migrations))
	case app != 0 && app != applicationID, version > 0 && app != applicationID:
		return ErrNotCasebook
	case version > 0:
		if err := b.backup(ctx, version); err != nil {
			return fmt.Errorf("the backup before bringing the casebook up to date: %w", err)
		}
	}
	return b.change(ctx, func(tx *sql.Tx) error { return raise(ctx, tx) })
}

func (b *Book) version(ctx context.Context) (version, app int, err error) {
	if err = b.db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return
	}
	err = b.db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&app)
	return
}

// raise runs what is missing, inside one transaction: another process may have
// done so in the meantime.
func raise(ctx context.Context, tx *sql.Tx) error {
	var version, tables int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_master").Scan(&tables); err != nil {
		return err
	}
	if version == 0 && tables > 0 {
		return ErrNotCasebook
	}
	for ; version < len(migrations); version++ {
		if _, err := tx.ExecContext(ctx, migrations[version]); err != nil {
			return fmt.Errorf("schema %d: %w", version+1, err)
		}
	}
	_, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", version, applicationID))
	return err
}

// BackupName is where the file of an earlier schema version is kept.
func BackupName(path string, version int) string {
	return fmt.Sprintf("%s.schema%d.backup", path, version)
}

// backup copies the file as it is, whole or not at all. A backup that exists is
// kept: it is the older one.
func (b *Book) backup(ctx context.Context, version int) error {
	name := BackupName(b.path, version)
	if _, err := os.Stat(name); err == nil {
		return nil
	}
	part := name + ".part"
	if err := os.Remove(part); err != nil && !os.IsNotExist(err) {
		return err
	}
	if _, err := b.db.ExecContext(ctx, "VACUUM INTO '"+strings.ReplaceAll(part, "'", "''")+"'"); err != nil {
		return err
	}
	if err := os.Chmod(part, 0o600); err != nil {
		return err
	}
	return os.Rename(part, name)
}
