package casebook

import (
	"context"
	"slices"
	"time"

	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/report/page"
)

// Review gathers a case as of a day for the review page: the follow-up of its
// sessions, the advice of the diary's rules, and the next exercises. made says
// what made the page.
func (b *Book) Review(ctx context.Context, caseID string, today diary.Date, made string) (page.Review, error) {
	c, err := caseByID(ctx, b.db, caseID)
	if err != nil {
		return page.Review{}, err
	}
	sessions, err := b.Sessions(ctx, caseID)
	if err != nil {
		return page.Review{}, err
	}
	log, err := b.Diary(ctx, caseID)
	if err != nil {
		return page.Review{}, err
	}
	r := page.Review{Name: c.Name, Injured: c.Injured.Side(), Onset: c.Onset, Person: c.Person, Log: log, NextTest: c.NextTest,
		Remarks: c.Remarks, Strength: c.StrengthTest, Invented: c.Invented, Made: made}
	summaries := Summaries(sessions, today)
	for _, s := range sessions {
		if s.Form.Date.After(today) || len(s.Methods) == 0 {
			continue
		}
		p := page.ReviewSession{Session: s.Summary, Note: s.Form.Note, Remarks: s.Remarks}
		if doubt := s.Summary.SpeedDoubt(); doubt != "" {
			p.Remarks = append(slices.Clone(s.Remarks), page.DoubtMark+doubt)
		}
		if s.Curves != nil {
			p.Left, p.Right = s.Curves.Left, s.Curves.Right
		}
		r.Sessions = append(r.Sessions, p)
	}
	r.Follow = recovery.Follow(summaries, r.Injured)
	r.Follow.AsOf(today, summaries)
	r.Advice = diary.Advise(c.Person, log, SensorsOf(summaries, r.Follow), c.Rules, today)
	r.Next = diary.NextExercises(log, r.Advice, c.Rules, today)
	return r, nil
}

// Summaries returns what recovery follows of the sessions up to a day.
func Summaries(sessions []Session, today diary.Date) []recovery.Session {
	var out []recovery.Session
	for _, s := range sessions {
		if !s.Form.Date.After(today) && len(s.Methods) > 0 {
			out = append(out, s.Summary)
		}
	}
	return out
}

// SensorsOf is what the recordings may add to the advice: days of runs, and a
// worsening. Walking sessions are no runs.
func SensorsOf(sessions []recovery.Session, follow recovery.Result) diary.Sensors {
	s := diary.Sensors{Worsening: follow.Word == recovery.Worsening}
	for _, x := range sessions {
		if x.Gait != "walking" {
			s.Runs = append(s.Runs, x.Date)
		}
	}
	return s
}

// CloseCase closes a case on a day; it can still be read, exported and, by a
// later ChangeCase, opened again.
func (b *Book) CloseCase(ctx context.Context, caseID string, on diary.Date, by, note string, now time.Time) error {
	if err := notLater(on, now); err != nil {
		return err
	}
	return b.ChangeCase(ctx, caseID, now, func(c *Case) error {
		c.Closed, c.ClosedBy, c.ClosedNote = on, by, note
		return nil
	})
}
