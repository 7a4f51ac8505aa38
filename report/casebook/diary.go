package casebook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"

	"setdown/gait/diary"
)

// Diary returns the whole diary of a case: all versions of all entries, and of the
// notes of its sessions.
func (b *Book) Diary(ctx context.Context, caseID string) (diary.Log, error) {
	return diaryOf(ctx, b.db, caseID)
}

func diaryOf(ctx context.Context, q querier, caseID string) (diary.Log, error) {
	var log diary.Log
	err := errors.Join(
		bodies(ctx, q, caseID, kindEntry, func(r Record, e diary.Entry) error {
			e.ID, e.Seq = r.Key, r.Seq
			log.Entries = append(log.Entries, e)
			return nil
		}),
		bodies(ctx, q, caseID, kindExercise, func(r Record, e diary.Exercise) error {
			e.ID, e.Seq = r.Key, r.Seq
			log.Exercises = append(log.Exercises, e)
			return nil
		}),
		bodies(ctx, q, caseID, kindRelease, func(r Record, e diary.Release) error {
			e.Seq = r.Seq
			log.Releases = append(log.Releases, e)
			return nil
		}),
		bodies(ctx, q, caseID, kindSession, func(r Record, f SessionForm) error {
			if f.Note != "" {
				log.Notes = append(log.Notes, diary.Noted{ID: r.Key, Seq: r.Seq, Date: f.Date, Note: f.Note})
			}
			return nil
		}))
	return log, err
}

// today is the runner's civil day of now.
func today(now time.Time) diary.Date { return diary.DateOf(now) }

// notLater refuses dates after today.
func notLater(d diary.Date, now time.Time) error {
	switch {
	case d.IsZero():
		return errors.New("a date is needed, for example 2026-05-31")
	case d.After(today(now)):
		return fmt.Errorf("%s lies after today (%s)", d, today(now))
	}
	return notAncient(d)
}

// firstYear is the earliest year of a day that is taken for meant: a year with a
// slip in it and a sensor whose clock was never set (1970, 1980) lie before it.
const firstYear = 2000

// notAncient refuses days before firstYear.
func notAncient(d diary.Date) error {
	if d.Year < firstYear {
		return fmt.Errorf("%s lies before the year %d: check the year, or the sensor's clock, and give the day it was", d, firstYear)
	}
	return nil
}

// The most that a day can hold, so that a slip of the key is noticed (the
// project's own choice).
const (
	mostMinutes    = 24 * 60
	mostKilometres = 400
	mostCount      = 1000  // sets, repetitions
	mostMetres     = 10000 // a set
	mostKilograms  = 300
)

// checkEntry refuses amounts that no day can hold.
func checkEntry(e diary.Entry) error {
	switch {
	case !(e.Minutes >= 0 && e.Minutes <= mostMinutes):
		return fmt.Errorf("%g minutes do not fit into a day; give the minutes run, for example 25", e.Minutes)
	case !(e.Kilometres >= 0 && e.Kilometres <= mostKilometres):
		return fmt.Errorf("%g km do not fit into a day; give kilometres, for example 5.5", e.Kilometres)
	}
	return nil
}

// tooEarly refuses the pain of the next morning on the day of the run itself: it counts as
// settled by then, which nobody knows yet. What an older version holds already may stay.
func tooEarly(before, e diary.Entry, now time.Time) error {
	if !e.Run || e.Date != today(now) {
		return nil
	}
	had := diary.Entry{}
	if before.Run {
		had = before
	}
	for _, s := range []struct{ had, is diary.Score }{{had.Morning, e.Morning}, {had.Stiffness, e.Stiffness}} {
		if _, entered := s.is.Value(); entered && s.is != s.had {
			return fmt.Errorf("the morning after the run of %s %w", e.Date, ErrTooEarly)
		}
	}
	return nil
}

// EntryID is the ID of the n-th entry (from 1) of a day.
func EntryID(d diary.Date, n int) string { return fmt.Sprintf("%s-%d", d, n) }

// ChangeEntry adds an entry or a new version of one. edit gets the newest
// version, or an empty entry with ID and Date set; all versions stay in the log.
// now is in the runner's zone: dates after its day are refused.
func (b *Book) ChangeEntry(ctx context.Context, caseID, id string, d diary.Date, now time.Time, edit func(e *diary.Entry) error) error {
	if err := notLater(d, now); err != nil {
		return err
	}
	if !strings.HasPrefix(id, d.String()+"-") {
		return fmt.Errorf("the entry %s is not of %s; take it back and enter the other day anew", id, d)
	}
	return b.change(ctx, func(tx *sql.Tx) error {
		if _, err := caseByID(ctx, tx, caseID); err != nil {
			return err
		}
		e := diary.Entry{ID: id, Date: d}
		err := bodies(ctx, tx, caseID, kindEntry, func(r Record, v diary.Entry) error {
			if r.Key == id {
				e = v
			}
			return nil
		})
		if err != nil {
			return err
		}
		before := e
		if err := edit(&e); err != nil {
			return err
		}
		e.ID, e.Date = id, d
		if err := errors.Join(checkEntry(e), tooEarly(before, e, now)); err != nil {
			return err
		}
		_, err = write(ctx, tx, caseID, kindEntry, id, now, e)
		return err
	})
}

// RemoveEntry takes an entry back. Its versions stay in the log, and the rules
// go on counting what it said.
func (b *Book) RemoveEntry(ctx context.Context, caseID, id string, now time.Time) error {
	return b.change(ctx, func(tx *sql.Tx) error {
		var e *diary.Entry
		err := bodies(ctx, tx, caseID, kindEntry, func(r Record, v diary.Entry) error {
			if r.Key == id {
				e = &v
			}
			return nil
		})
		if err != nil {
			return err
		}
		if e == nil {
			return fmt.Errorf("there is no diary entry %s", id)
		}
		_, err = write(ctx, tx, caseID, kindEntry, id, now, diary.Entry{ID: id, Date: e.Date, Removed: true})
		return err
	})
}

// AddExercise adds a line to the strengthening log, or a new version when its
// ID is there already. An empty ID is made from the date, the drill and the log.
func (b *Book) AddExercise(ctx context.Context, caseID string, e diary.Exercise, now time.Time) (string, error) {
	if err := errors.Join(notLater(e.Date, now), checkExercise(e)); err != nil {
		return "", err
	}
	id := e.ID
	err := b.change(ctx, func(tx *sql.Tx) error {
		if _, err := caseByID(ctx, tx, caseID); err != nil {
			return err
		}
		if id == "" {
			var n int
			err := tx.QueryRowContext(ctx, "SELECT count(DISTINCT key) FROM records WHERE case_id = ? AND kind = ?", caseID, string(kindExercise)).Scan(&n)
			if err != nil {
				return err
			}
			id = fmt.Sprintf("x%s-%d", e.Date, n+1)
		}
		e.ID = id
		_, err := write(ctx, tx, caseID, kindExercise, id, now, e)
		return err
	})
	return id, err
}

// checkExercise says what a line of the strengthening log lacks.
func checkExercise(e diary.Exercise) error {
	switch {
	case e.Removed:
		return nil
	case e.Sets <= 0:
		return errors.New("the number of sets is needed, for example 3")
	case e.Metres < 0 || e.Slow < 0 || e.Fast < 0 || e.LoadKilograms < 0:
		return errors.New("distance, repetitions and load cannot be negative")
	case e.Sets > mostCount || e.Slow > mostCount || e.Fast > mostCount || !(e.Metres <= mostMetres) || !(e.LoadKilograms <= mostKilograms):
		return errors.New("so much is no exercise; give sets, metres a set or repetitions a set, and kg")
	case e.Metres == 0 && e.Slow+e.Fast == 0:
		return errors.New("give the distance of each set, or the repetitions, slow and fast")
	}
	return nil
}

// AddRelease enters a clinician's release. By and On are needed, and On may not
// lie after today.
func (b *Book) AddRelease(ctx context.Context, caseID string, r diary.Release, now time.Time) error {
	if strings.TrimSpace(r.By) == "" {
		return errors.New("a release needs the clinician's name or role")
	}
	if err := notLater(r.On, now); err != nil {
		return err
	}
	return b.change(ctx, func(tx *sql.Tx) error {
		if _, err := caseByID(ctx, tx, caseID); err != nil {
			return err
		}
		_, err := write(ctx, tx, caseID, kindRelease, r.On.String(), now, r)
		return err
	})
}
