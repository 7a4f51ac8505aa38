package casebook

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"time"
)

// kind names what a record holds.
type kind string

// The kinds of records. Keys: the case's own ID for a case, the entry's ID for a
// diary entry and an exercise, the session's ID for a session.
const (
	kindCase     kind = "case"
	kindEntry    kind = "diary"
	kindExercise kind = "exercise"
	kindRelease  kind = "release"
	kindSession  kind = "session"
)

// Record is one line of a case's log.
type Record struct {
	Seq      int64           `json:"seq"`
	Kind     string          `json:"kind"`
	Key      string          `json:"key"`
	Recorded time.Time       `json:"recorded"`
	Body     json.RawMessage `json:"body"`
}

// write appends a record and returns its place in the log.
func write(ctx context.Context, tx *sql.Tx, caseID string, k kind, key string, now time.Time, body any) (int64, error) {
	text, err := json.Marshal(body)
	if err != nil {
		return 0, fmt.Errorf("casebook: a %s cannot be written: %w", k, err)
	}
	res, err := tx.ExecContext(ctx, "INSERT INTO records (case_id, kind, key, recorded, body) VALUES (?, ?, ?, ?, ?)",
		caseID, string(k), key, now.Format(time.RFC3339Nano), string(text))
	if err != nil {
		return 0, err
	}
	return res.LastInsertId()
}

// History returns the whole log of a case, oldest first: each correction beside
// the value before it.
func (b *Book) History(ctx context.Context, caseID string) ([]Record, error) {
	return readRecords(ctx, b.db, "case_id = ? ORDER BY seq", caseID)
}

// querier is a database or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

func readRecords(ctx context.Context, q querier, where string, args ...any) ([]Record, error) {
	rows, err := q.QueryContext(ctx, "SELECT seq, kind, key, recorded, body FROM records WHERE "+where, args...)
	if err != nil {
		return nil, plain(err)
	}
	defer rows.Close()
	var out []Record
	for rows.Next() {
		var r Record
		var at, body string
		if err := rows.Scan(&r.Seq, &r.Kind, &r.Key, &at, &body); err != nil {
			return nil, plain(err)
		}
		if r.Recorded, err = time.Parse(time.RFC3339Nano, at); err != nil {
			return nil, fmt.Errorf("record %d: %w: %w", r.Seq, ErrDamaged, err)
		}
		r.Body = json.RawMessage(body)
		out = append(out, r)
	}
	return out, plain(rows.Err())
}

// bodies decodes the records of one kind, oldest first, and hands each to f.
func bodies[T any](ctx context.Context, q querier, caseID string, k kind, f func(Record, T) error) error {
	rs, err := readRecords(ctx, q, "case_id = ? AND kind = ? ORDER BY seq", caseID, string(k))
	if err != nil {
		return err
	}
	for _, r := range rs {
		var v T
		if err := json.Unmarshal(r.Body, &v); err != nil {
			return fmt.Errorf("record %d (%s): %w: %w", r.Seq, k, ErrDamaged, err)
		}
		if err := f(r, v); err != nil {
			return err
		}
	}
	return nil
}
