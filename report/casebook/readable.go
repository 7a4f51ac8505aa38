package casebook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"

	"setdown/gait/diary"
)

// readable reads everything of a case that was just imported as it will be read from
// now on, and checks it as if it were entered: a case that cannot be opened later, or
// whose diary has lost an answer, must not come in.
func readable(ctx context.Context, tx *sql.Tx, want Case) error {
	c, err := caseByID(ctx, tx, want.ID)
	if err != nil {
		return err
	}
	if c.ID != want.ID || c.Name != want.Name {
		return fmt.Errorf("%w: its log is of the case %q and not of %q", ErrDamaged, c.Name, want.Name)
	}
	log, err := diaryOf(ctx, tx, c.ID)
	if err != nil {
		return err
	}
	sessions, err := sessionsOf(ctx, tx, c.ID)
	if err != nil {
		return err
	}
	err = errors.Join(c.check(), knownKinds(ctx, tx, c.ID), checkLog(log), checkSessions(sessions))
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	return nil
}

// knownKinds refuses records that nothing would read: a sign that was entered must
// not get lost.
func knownKinds(ctx context.Context, q querier, caseID string) error {
	all, err := readRecords(ctx, q, "case_id = ? ORDER BY seq", caseID)
	if err != nil {
		return err
	}
	for _, r := range all {
		if !slices.Contains([]kind{kindCase, kindEntry, kindExercise, kindRelease, kindSession}, kind(r.Kind)) {
			return fmt.Errorf("a record of an unknown kind, %q", r.Kind)
		}
	}
	return nil
}

// errNoDay is what a page or a line without a day lacks.
var errNoDay = errors.New("has no day")

// checkLog checks what the diary's own commands would have refused.
func checkLog(log diary.Log) error {
	for _, e := range log.Entries {
		if e.Date.IsZero() {
			return fmt.Errorf("diary entry %s: %w", e.ID, errNoDay)
		}
		if err := checkEntry(e); err != nil {
			return fmt.Errorf("diary entry %s: %w", e.ID, err)
		}
	}
	for _, e := range log.Exercises {
		if e.Date.IsZero() && !e.Removed {
			return fmt.Errorf("exercise %s: %w", e.ID, errNoDay)
		}
		if err := checkExercise(e); err != nil {
			return fmt.Errorf("exercise %s: %w", e.ID, err)
		}
	}
	for _, r := range log.Releases {
		if strings.TrimSpace(r.By) == "" || r.On.IsZero() {
			return errors.New("a release without a clinician or a day")
		}
	}
	return nil
}

// checkSessions refuses sessions without what tells their day and result.
func checkSessions(sessions []Session) error {
	for _, s := range sessions {
		if s.Form.Date.IsZero() || len(s.Methods) == 0 {
			return fmt.Errorf("session %s has no day or no result", s.ID)
		}
	}
	return nil
}
