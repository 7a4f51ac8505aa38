package casebook

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/signal/recording"
)

// SessionForm is what is written down about a session beside its recordings.
type SessionForm struct {
	// Date is the runner's own day, Start the absolute time of the recording's
	// beginning where it is known, with its zone.
	Date       diary.Date          `json:"date"`
	Start      *time.Time          `json:"start"`
	Zone       string              `json:"zone"`
	Conditions recovery.Conditions `json:"conditions"`
	// Blocks are marked stretches under alternating conditions.
	Blocks []recovery.Block `json:"blocks,omitempty"`
	Note   string           `json:"note,omitempty"`
	Reading
}

// Reading is what was said by hand about how the files are read, so that they
// can be read the same way again.
type Reading struct {
	// Rate is Hz for files without time; 0 otherwise.
	Rate float64 `json:"rate_hz,omitempty"`
	// Columns is the text of a file that says which column holds what; Files
	// holds such texts for single files by name, which come before Columns.
	Columns string            `json:"columns,omitempty"`
	Files   map[string]string `json:"columns_of,omitempty"`
	// CadenceCounts is what a watch's step rate counts: "steps", "strides", or ""
	// where the watch's file tells.
	CadenceCounts string `json:"cadence_counts,omitempty"`
	// OneSensor says that one sensor was moved from side to side, and the files
	// stand in the order in which they were recorded.
	OneSensor bool `json:"one_sensor,omitempty"`
}

// order is the session's place within its day.
func (f SessionForm) order(row int64) float64 {
	if f.Start != nil {
		h, m, s := f.Start.Clock()
		return float64(3600*h + 60*m + s)
	}
	return 86400 + float64(row)
}

// Session is one session of a case with its newest analysis.
type Session struct {
	ID   string
	Form SessionForm
	// Summary is what package recovery follows; its Measures are empty when the
	// session has no analysis.
	Summary recovery.Session
	// Curves are the mean lowering of each side; nil when they were not kept.
	Curves *Curves
	// Methods lists the methods that analyses exist for, oldest first.
	Methods []string
	Files   []FileInfo
	// Remarks are the analysis's remarks as lines.
	Remarks []string
	row     int64
}

// FileInfo describes a kept recording.
type FileInfo struct {
	Name   string `json:"name"`
	Side   string `json:"side"`
	SHA256 string `json:"sha256"`
	Bytes  int64  `json:"bytes"`
}

// Check tells what in the form no run can have: its day, or a condition.
func (f SessionForm) Check() error { return errors.Join(notAncient(f.Date), f.Conditions.Check()) }

// AddSession keeps a session with its recordings and analysis in one
// transaction, and returns its ID. The same recordings a second time give a
// *DuplicateError. The recordings are read once here; sources must open to the
// same bytes that were analysed, which the hashes in the analysis prove; of a
// recording that no number comes from nothing needs to be proved.
func (b *Book) AddSession(ctx context.Context, caseID string, form SessionForm, sources []recording.Source, a Analysis, now time.Time) (string, error) {
	if form.Date.IsZero() {
		return "", errors.New("the session has no date; give the day it was run")
	}
	if err := form.Check(); err != nil {
		return "", err
	}
	files, err := packAll(ctx, sources)
	if err != nil {
		return "", err
	}
	for i, f := range files {
		if len(a.Hashes) > 0 && !slices.Contains(a.Hashes, f.SHA256) && !slices.Contains(a.Unused, f.Name) {
			return "", fmt.Errorf("%s changed while it was read; nothing was kept, try again", sources[i].Name)
		}
	}
	mark := fingerprint(files)
	id := form.Date.String() + "-" + mark[:6]
	err = b.change(ctx, func(tx *sql.Tx) error { return insertSession(ctx, tx, caseID, id, mark, form, files, a, now) })
	return id, err
}

// fingerprint identifies a set of recordings without regard to their order.
func fingerprint(files []packed) string {
	lines := make([]string, len(files))
	for i, f := range files {
		lines[i] = f.SHA256 + " " + f.Side
	}
	slices.Sort(lines)
	sum := sha256.Sum256([]byte(strings.Join(lines, "\n")))
	return hex.EncodeToString(sum[:])
}

func insertSession(ctx context.Context, tx *sql.Tx, caseID, id, mark string, form SessionForm, files []packed, a Analysis, now time.Time) error {
	var one int
	if err := tx.QueryRowContext(ctx, "SELECT 1 FROM cases WHERE id = ?", caseID).Scan(&one); errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("%s: %w", caseID, ErrNoCase)
	} else if err != nil {
		return err
	}
	if err := duplicate(ctx, tx, caseID, files); err != nil {
		return err
	}
	res, err := tx.ExecContext(ctx, "INSERT INTO sessions (case_id, id, fingerprint) VALUES (?, ?, ?)", caseID, id, mark)
	if err != nil {
		return err
	}
	row, err := res.LastInsertId()
	if err != nil {
		return err
	}
	for i, f := range files {
		_, err := tx.ExecContext(ctx, "INSERT INTO recordings (session, ord, name, side, sha256, bytes, packed) VALUES (?, ?, ?, ?, ?, ?, ?)",
			row, i, f.Name, f.Side, f.SHA256, f.Bytes, f.data)
		if err != nil {
			return err
		}
	}
	if _, err := write(ctx, tx, caseID, kindSession, id, now, form); err != nil {
		return err
	}
	return insertAnalysis(ctx, tx, row, a, now)
}

// duplicate looks for a session with the same recordings, whatever the sides
// they were given for, or with any one of them.
func duplicate(ctx context.Context, tx *sql.Tx, caseID string, files []packed) error {
	for _, f := range files {
		var id string
		err := tx.QueryRowContext(ctx, `SELECT s.id FROM recordings r JOIN sessions s ON s.row = r.session
			WHERE s.case_id = ? AND r.sha256 = ?`, caseID, f.SHA256).Scan(&id)
		if err == nil {
			return &DuplicateError{id}
		}
		if !errors.Is(err, sql.ErrNoRows) {
			return err
		}
	}
	return nil
}

// ChangeSession corrects what is written down about a session; the earlier form
// stays in the history.
func (b *Book) ChangeSession(ctx context.Context, caseID, id string, now time.Time, edit func(f *SessionForm) error) error {
	return b.change(ctx, func(tx *sql.Tx) error {
		var form SessionForm
		found := false
		err := bodies(ctx, tx, caseID, kindSession, func(r Record, f SessionForm) error {
			if r.Key == id {
				form, found = f, true
			}
			return nil
		})
		if err != nil {
			return err
		}
		if !found {
			return fmt.Errorf("%s: %w", id, ErrNoSession)
		}
		if err := edit(&form); err != nil {
			return err
		}
		if err := form.Check(); err != nil {
			return err
		}
		_, err = write(ctx, tx, caseID, kindSession, id, now, form)
		return err
	})
}

// DeleteSession removes a session with its recordings and analyses; that it
// was there stays in the history, without a measurement.
func (b *Book) DeleteSession(ctx context.Context, caseID, id string) error {
	return b.change(ctx, func(tx *sql.Tx) error {
		res, err := tx.ExecContext(ctx, "DELETE FROM sessions WHERE case_id = ? AND id = ?", caseID, id)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, fmt.Errorf("%s: %w", id, ErrNoSession))
		}
		return nil
	})
}
