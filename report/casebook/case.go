package casebook

import (
	"cmp"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
)

// Injured is asymmetry.Injured as it is kept: "left", "right", "both",
// "unknown".
type Injured string

// ParseInjured reads the word.
func ParseInjured(word string) (asymmetry.Injured, error) {
	for i := asymmetry.InjuredUnknown; i <= asymmetry.InjuredBoth; i++ {
		if i.String() == word {
			return i, nil
		}
	}
	return 0, fmt.Errorf("%q is no side; write left, right, both or unknown", word)
}

// Side returns the value; a word that is none is unknown.
func (i Injured) Side() asymmetry.Injured {
	v, _ := ParseInjured(string(i))
	return v
}

// Case is the form of a case. It identifies nobody: Name is a pseudonym.
type Case struct {
	// ID is fixed when the case is made.
	ID   string `json:"id"`
	Name string `json:"name"`
	// Injured is the injured side.
	Injured Injured `json:"injured"`
	// Onset is the day on which the complaint began.
	Onset diary.Date `json:"onset"`
	// Person is the first-visit form, with diagnoses and by whom.
	Person diary.Person `json:"person"`
	// StrengthTest is the first visit's strength test in words.
	StrengthTest string      `json:"strength_test,omitempty"`
	Rules        diary.Rules `json:"rules"`
	// NextTest is the day of the next session with sensors.
	NextTest diary.Date `json:"next_test"`
	Remarks  string     `json:"remarks,omitempty"`
	// Zone is the time zone of the runner, an IANA name or an offset.
	Zone    string     `json:"zone"`
	Created diary.Date `json:"created"`
	// Closed is the day on which the case was closed, ClosedBy by whom.
	Closed     diary.Date `json:"closed"`
	ClosedBy   string     `json:"closed_by,omitempty"`
	ClosedNote string     `json:"closed_note,omitempty"`
	// Invented marks a demo case: no real person.
	Invented bool `json:"invented,omitempty"`
}

// nameMax is how many characters a pseudonym may have.
const nameMax = 60

// check says what is wrong with the form.
func (c Case) check() error {
	switch {
	case strings.TrimSpace(c.Name) == "":
		return errors.New("a case needs a name: choose a pseudonym, not the person's name")
	case c.Name != strings.TrimSpace(c.Name) || strings.ContainsAny(c.Name, "\r\n\t/\\") || !utf8.ValidString(c.Name):
		return fmt.Errorf("the name %q may not begin or end with a space or hold tabs, line breaks or slashes", c.Name)
	case utf8.RuneCountInString(c.Name) > nameMax:
		return fmt.Errorf("the name has more than %d characters", nameMax)
	}
	if _, err := ParseInjured(string(c.Injured)); err != nil {
		return err
	}
	return c.Rules.Check()
}

// NewCase makes a case and returns it with its ID. Empty Injured is unknown, and
// zero Rules are the defaults. The error wraps ErrNameTaken where that is so.
func (b *Book) NewCase(ctx context.Context, c Case, now time.Time) (Case, error) {
	if c.Injured == "" {
		c.Injured = Injured(asymmetry.InjuredUnknown.String())
	}
	if c.Rules == (diary.Rules{}) {
		c.Rules = diary.DefaultRules()
	}
	if c.Zone == "" {
		c.Zone = now.Location().String()
	}
	c.Created = diary.DateOf(now)
	c.ID = caseID(c.Name, now)
	if err := errors.Join(c.check(), c.begun(now)); err != nil {
		return Case{}, err
	}
	return c, b.change(ctx, func(tx *sql.Tx) error { return insertCase(ctx, tx, c, now) })
}

// begun refuses a day of onset that is still to come.
func (c Case) begun(now time.Time) error {
	if c.Onset.After(today(now)) {
		return fmt.Errorf("the complaint cannot have begun on %s, after today (%s); give the day of onset", c.Onset, today(now))
	}
	return nil
}

// caseID makes the ID of a case from what it is called and when it was made.
func caseID(name string, now time.Time) string {
	sum := sha256.Sum256([]byte(name + "\n" + now.Format(time.RFC3339Nano)))
	return "c" + hex.EncodeToString(sum[:6])
}

func insertCase(ctx context.Context, tx *sql.Tx, c Case, now time.Time) error {
	if err := freeName(ctx, tx, c); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, "INSERT INTO cases (id, name) VALUES (?, ?)", c.ID, c.Name); err != nil {
		return err
	}
	_, err := write(ctx, tx, c.ID, kindCase, c.ID, now, c)
	return err
}

// freeName tells by an error if another case has the name.
func freeName(ctx context.Context, tx *sql.Tx, c Case) error {
	var other string
	err := tx.QueryRowContext(ctx, "SELECT id FROM cases WHERE name = ? AND id <> ?", c.Name, c.ID).Scan(&other)
	if err == nil {
		return fmt.Errorf("%q: %w", c.Name, ErrNameTaken)
	}
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	return err
}

// ChangeCase corrects the form; the earlier form stays in the history.
// edit gets the present form inside the transaction, so that two corrections at
// once do not undo one another.
func (b *Book) ChangeCase(ctx context.Context, caseID string, now time.Time, edit func(c *Case) error) error {
	return b.change(ctx, func(tx *sql.Tx) error {
		c, err := caseByID(ctx, tx, caseID)
		if err != nil {
			return err
		}
		id, created := c.ID, c.Created
		if err := edit(&c); err != nil {
			return err
		}
		c.ID, c.Created = id, created
		if err := errors.Join(c.check(), c.begun(now), freeName(ctx, tx, c)); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "UPDATE cases SET name = ? WHERE id = ?", c.Name, c.ID); err != nil {
			return err
		}
		_, err = write(ctx, tx, c.ID, kindCase, c.ID, now, c)
		return err
	})
}

// caseByID returns the newest form of a case.
func caseByID(ctx context.Context, q querier, id string) (Case, error) {
	var c Case
	found := false
	err := bodies(ctx, q, id, kindCase, func(_ Record, v Case) error {
		c, found = v, true
		return nil
	})
	if err == nil && !found {
		err = fmt.Errorf("%s: %w", id, ErrNoCase)
	}
	return c, err
}

// Find returns the case with the name (without regard to case) or the ID. The
// error wraps ErrNoCase and lists the names there are.
func (b *Book) Find(ctx context.Context, nameOrID string) (Case, error) {
	var id string
	err := b.db.QueryRowContext(ctx, "SELECT id FROM cases WHERE name = ? OR id = ? ORDER BY name = ? DESC", nameOrID, nameOrID, nameOrID).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return Case{}, b.noCase(ctx, nameOrID)
	}
	if err != nil {
		return Case{}, plain(err)
	}
	return caseByID(ctx, b.db, id)
}

func (b *Book) noCase(ctx context.Context, name string) error {
	all, err := b.Cases(ctx)
	if err != nil {
		return err
	}
	if len(all) == 0 {
		return fmt.Errorf("%q: %w; the casebook is empty", name, ErrNoCase)
	}
	names := make([]string, len(all))
	for i, c := range all {
		names[i] = c.Name
	}
	return fmt.Errorf("%q: %w; there are: %s", name, ErrNoCase, strings.Join(names, ", "))
}

// Cases returns all cases by name.
func (b *Book) Cases(ctx context.Context) ([]Case, error) {
	rows, err := b.db.QueryContext(ctx, "SELECT id FROM cases")
	if err != nil {
		return nil, plain(err)
	}
	var ids []string
	for rows.Next() {
		var id string
		if err := rows.Scan(&id); err != nil {
			return nil, errors.Join(err, rows.Close())
		}
		ids = append(ids, id)
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return nil, plain(err)
	}
	out := make([]Case, 0, len(ids))
	for _, id := range ids {
		c, err := caseByID(ctx, b.db, id)
		if err != nil {
			return nil, err
		}
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b Case) int { return cmp.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)) })
	return out, nil
}

// Delete removes a case with all its recordings, diary and history, rewrites the
// file so that nothing of it is left in it, and removes backups that bringing
// the schema up to date left beside it. Exports and copies made elsewhere are
// not touched: the caller should say so.
func (b *Book) Delete(ctx context.Context, caseID string) error {
	err := b.change(ctx, func(tx *sql.Tx) error {
		res, err := tx.ExecContext(ctx, "DELETE FROM cases WHERE id = ?", caseID)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, fmt.Errorf("%s: %w", caseID, ErrNoCase))
		}
		return nil
	})
	if err != nil {
		return err
	}
	_, err = b.db.ExecContext(ctx, "VACUUM")
	return errors.Join(plain(err), b.dropBackups())
}

// dropBackups removes the copies of earlier schema versions.
func (b *Book) dropBackups() error {
	var errs []error
	for v := 1; v < len(migrations); v++ {
		if err := os.Remove(BackupName(b.path, v)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}
