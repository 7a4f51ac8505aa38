package casebook

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"
)

// The limits of an archive that is imported, against one made to fill a disk.
const (
	maxMembers  = 100000
	maxManifest = 256 << 20
	maxTotal    = 64 << 30
)

// Import reads an archive that Export made and adds its case, with its ID, its
// whole log and its recordings, in one transaction. A name gives the case
// another pseudonym, and where the case is there already, another ID: a second
// copy; "" keeps both. The error wraps ErrNameTaken where the case or its name is
// there already. Nothing outside the archive is read or written;
// names in it are never used as paths.
func (b *Book) Import(ctx context.Context, r io.ReaderAt, size int64, name string, now time.Time) (Case, error) {
	a, err := openArchive(r, size)
	if err != nil {
		return Case{}, err
	}
	m, log, err := a.contents()
	if err != nil {
		return Case{}, err
	}
	renamed := name != "" && name != m.Case.Name
	if renamed {
		m.Case.Name = name
	}
	if err := m.Case.check(); err != nil {
		return Case{}, err
	}
	err = b.change(ctx, func(tx *sql.Tx) error {
		if renamed {
			if err := freeID(ctx, tx, &m.Case, now); err != nil {
				return err
			}
		}
		if err := importCase(ctx, tx, m.Case, log); err != nil {
			return err
		}
		if renamed {
			if _, err := write(ctx, tx, m.Case.ID, kindCase, m.Case.ID, now, m.Case); err != nil {
				return err
			}
		}
		for _, s := range m.Sessions {
			if err := importSession(ctx, tx, a, m.Case.ID, s); err != nil {
				return fmt.Errorf("session %s: %w", s.ID, err)
			}
		}
		return readable(ctx, tx, m.Case)
	})
	return m.Case, err
}

// openArchive finds the members of an archive.
func openArchive(r io.ReaderAt, size int64) (*archive, error) {
	z, err := zip.NewReader(r, size)
	if err != nil {
		return nil, fmt.Errorf("this is not a case archive: %w", err)
	}
	return index(z)
}

// contents reads what the archive holds and the case's log; the error is of another
// kind of archive.
func (a *archive) contents() (m manifest, log []Record, err error) {
	if err := errors.Join(a.json(manifestName, &m), a.json(logName, &log)); err != nil {
		return m, nil, fmt.Errorf("this is not a case archive: %w", err)
	}
	if m.Form != archiveForm {
		return m, nil, fmt.Errorf("the archive has the form %q; this program reads %q", m.Form, archiveForm)
	}
	return m, log, nil
}

// freeID gives a case whose ID is taken another one.
func freeID(ctx context.Context, tx *sql.Tx, c *Case, now time.Time) error {
	var there int
	err := tx.QueryRowContext(ctx, "SELECT count(*) FROM cases WHERE id = ?", c.ID).Scan(&there)
	if err == nil && there > 0 {
		c.ID = caseID(c.Name+"\n"+c.ID, now)
	}
	return err
}

func importCase(ctx context.Context, tx *sql.Tx, c Case, log []Record) error {
	var there string
	if err := tx.QueryRowContext(ctx, "SELECT name FROM cases WHERE id = ?", c.ID).Scan(&there); err == nil {
		return fmt.Errorf("this case is in the casebook already, as %q: %w", there, ErrNameTaken)
	} else if !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	if err := freeName(ctx, tx, c); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, "INSERT INTO cases (id, name) VALUES (?, ?)", c.ID, c.Name); err != nil {
		return err
	}
	for _, r := range log {
		if !json.Valid(r.Body) {
			return fmt.Errorf("record %d of the log is damaged", r.Seq)
		}
		_, err := tx.ExecContext(ctx, "INSERT INTO records (case_id, kind, key, recorded, body) VALUES (?, ?, ?, ?, ?)",
			c.ID, r.Kind, r.Key, r.Recorded.Format(time.RFC3339Nano), string(compact(r.Body)))
		if err != nil {
			return err
		}
	}
	return nil
}

func importSession(ctx context.Context, tx *sql.Tx, a *archive, caseID string, s manifestSession) error {
	res, err := tx.ExecContext(ctx, "INSERT INTO sessions (case_id, id, fingerprint) VALUES (?, ?, ?)", caseID, s.ID, s.Fingerprint)
	if err != nil {
		return err
	}
	row, err := res.LastInsertId()
	if err != nil {
		return err
	}
	for i, f := range s.Recordings {
		data, err := a.bytes(f.Path, maxRecording)
		if err != nil {
			return err
		}
		if sum := sha256.Sum256(data); hex.EncodeToString(sum[:]) != f.SHA256 || int64(len(data)) != f.Bytes {
			return fmt.Errorf("the recording %s does not match its hash: the archive is damaged", f.Name)
		}
		_, err = tx.ExecContext(ctx, "INSERT INTO recordings (session, ord, name, side, sha256, bytes, packed) VALUES (?, ?, ?, ?, ?, ?, ?)",
			row, i, f.Name, f.Side, f.SHA256, f.Bytes, packBytes(data))
		if err != nil {
			return err
		}
	}
	for _, an := range s.Analyses {
		if err := importAnalysis(ctx, tx, a, row, an); err != nil {
			return err
		}
	}
	return nil
}

func importAnalysis(ctx context.Context, tx *sql.Tx, a *archive, row int64, an manifestAnalysis) error {
	summary, err := a.bytes(an.Summary, maxKept)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(summary, &keptSummary{}); err != nil {
		return fmt.Errorf("%s: %w", an.Summary, err)
	}
	var curves []byte
	if an.Curves != "" {
		if curves, err = a.bytes(an.Curves, maxKept); err != nil {
			return err
		}
	}
	doc, err1 := a.bytes(an.SessionJSON, maxKept)
	steps, err2 := a.bytes(an.Steps, maxKept)
	if err := errors.Join(err1, err2); err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO analyses (session, method, tool, settings, added, summary, session_json, steps, curves)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`, row, an.Method, an.Tool, an.Settings, an.Added, string(summary), packBytes(doc), packBytes(steps), string(curves))
	return err
}

// archive finds members by name and bounds what is read.
type archive struct {
	members map[string]*zip.File
	read    int64
}

func index(z *zip.Reader) (*archive, error) {
	if len(z.File) > maxMembers {
		return nil, fmt.Errorf("the archive has %d members; at most %d are read", len(z.File), maxMembers)
	}
	a := &archive{members: map[string]*zip.File{}}
	for _, f := range z.File {
		if a.members[f.Name] != nil {
			return nil, fmt.Errorf("the archive has two members %q", f.Name)
		}
		a.members[f.Name] = f
	}
	return a, nil
}

// bytes reads a member of at most limit bytes.
func (a *archive) bytes(name string, limit int64) (_ []byte, err error) {
	f := a.members[name]
	if f == nil {
		return nil, fmt.Errorf("%s is missing in the archive", name)
	}
	r, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	data, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if a.read += int64(len(data)); int64(len(data)) > limit || a.read > maxTotal {
		return nil, fmt.Errorf("%s is larger than an archive of a case may hold", name)
	}
	return data, nil
}

func (a *archive) json(name string, v any) error {
	data, err := a.bytes(name, maxManifest)
	if err != nil {
		return err
	}
	if err := json.Unmarshal(data, v); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

// compact takes the indentation of the archive off a record.
func compact(body json.RawMessage) []byte {
	var b bytes.Buffer
	if err := json.Compact(&b, body); err != nil {
		return body
	}
	return b.Bytes()
}
