package casebook

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
)

// Sessions returns the sessions of a case, oldest first, each with its newest
// analysis; recordings are not read.
func (b *Book) Sessions(ctx context.Context, caseID string) ([]Session, error) {
	return sessionsOf(ctx, b.db, caseID)
}

func sessionsOf(ctx context.Context, q querier, caseID string) ([]Session, error) {
	forms, err := sessionForms(ctx, q, caseID)
	if err != nil {
		return nil, err
	}
	out, err := sessionRows(ctx, q, caseID)
	if err != nil {
		return nil, err
	}
	at := map[int64]*Session{}
	for i := range out {
		out[i].Form = forms[out[i].ID]
		at[out[i].row] = &out[i]
	}
	if err := fillFiles(ctx, q, caseID, at); err != nil {
		return nil, err
	}
	if err := fillAnalyses(ctx, q, caseID, at); err != nil {
		return nil, err
	}
	for i := range out {
		out[i].settle()
	}
	slices.SortStableFunc(out, inOrder)
	return out, nil
}

// sessionForms reads the forms of a case's sessions, by the session's ID: what was
// written last counts.
func sessionForms(ctx context.Context, q querier, caseID string) (map[string]SessionForm, error) {
	out := map[string]SessionForm{}
	err := bodies(ctx, q, caseID, kindSession, func(r Record, f SessionForm) error {
		out[r.Key] = f
		return nil
	})
	return out, err
}

// inOrder compares two sessions by day, and within a day by when they began.
func inOrder(a, b Session) int {
	if d := a.Form.Date.Since(b.Form.Date); d != 0 {
		return d
	}
	if a.Summary.Order < b.Summary.Order {
		return -1
	}
	return 1
}

// settle copies the form into the summary: a correction of conditions counts
// at once, without computing again.
func (s *Session) settle() {
	s.Summary.ID, s.Summary.Date, s.Summary.Conditions = s.ID, s.Form.Date, s.Form.Conditions
	s.Summary.Order = s.Form.order(s.row)
}

func sessionRows(ctx context.Context, q querier, caseID string) ([]Session, error) {
	rows, err := q.QueryContext(ctx, "SELECT row, id FROM sessions WHERE case_id = ? ORDER BY row", caseID)
	if err != nil {
		return nil, plain(err)
	}
	defer rows.Close()
	var out []Session
	for rows.Next() {
		var s Session
		if err := rows.Scan(&s.row, &s.ID); err != nil {
			return nil, plain(err)
		}
		out = append(out, s)
	}
	return out, plain(rows.Err())
}

func fillFiles(ctx context.Context, q querier, caseID string, at map[int64]*Session) error {
	rows, err := q.QueryContext(ctx, `SELECT r.session, r.name, r.side, r.sha256, r.bytes FROM recordings r
		JOIN sessions s ON s.row = r.session WHERE s.case_id = ? ORDER BY r.session, r.ord`, caseID)
	if err != nil {
		return plain(err)
	}
	defer rows.Close()
	for rows.Next() {
		var row int64
		var f FileInfo
		if err := rows.Scan(&row, &f.Name, &f.Side, &f.SHA256, &f.Bytes); err != nil {
			return plain(err)
		}
		if s := at[row]; s != nil {
			s.Files = append(s.Files, f)
		}
	}
	return plain(rows.Err())
}

func fillAnalyses(ctx context.Context, q querier, caseID string, at map[int64]*Session) error {
	rows, err := q.QueryContext(ctx, `SELECT a.session, a.method, a.summary, a.curves FROM analyses a
		JOIN sessions s ON s.row = a.session WHERE s.case_id = ? ORDER BY a.session, a.added, a.method, a.settings`, caseID)
	if err != nil {
		return plain(err)
	}
	defer rows.Close()
	for rows.Next() {
		var row int64
		var method, summary, curves string
		if err := rows.Scan(&row, &method, &summary, &curves); err != nil {
			return plain(err)
		}
		s := at[row]
		if s == nil {
			continue
		}
		if !slices.Contains(s.Methods, method) {
			s.Methods = append(s.Methods, method)
		}
		if err := s.take(summary, curves); err != nil {
			return fmt.Errorf("session %s: %w: %w", s.ID, ErrDamaged, err)
		}
	}
	return plain(rows.Err())
}

// take reads the newest analysis into the session.
func (s *Session) take(summary, curves string) error {
	var kept keptSummary
	if err := json.Unmarshal([]byte(summary), &kept); err != nil {
		return err
	}
	s.Summary, s.Remarks = kept.Session, kept.Remarks
	s.Curves = nil
	if curves == "" {
		return nil
	}
	s.Curves = &Curves{}
	return json.Unmarshal([]byte(curves), s.Curves)
}
