package casebook

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/signal/recording"
)

func TestACasebookIsForItsOwnerOnly(t *testing.T) {
	b := newBook(t)
	newCase(t, b, "fox")
	info, err := os.Stat(b.Path())
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	require.NoError(t, os.Chmod(b.Path(), 0o644))
	again, err := Open(t.Context(), b.Path())
	require.NoError(t, err)
	require.NoError(t, again.Close())
	info, err = os.Stat(b.Path())
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm(), "a looser mode is tightened")
}

func TestOpenMakesNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "none")
	_, err := Open(t.Context(), path)
	require.ErrorIs(t, err, ErrNone)
	require.NoFileExists(t, path)
	path = filepath.Join(t.TempDir(), "text")
	require.NoError(t, os.WriteFile(path, bytes.Repeat([]byte("not a casebook "), 100), 0o600))
	_, err = Open(t.Context(), path)
	require.ErrorIs(t, err, ErrNotCasebook)
}

// A name typed wrongly must not take a folder or a file from others.
func TestWhatIsNoCasebookKeepsItsPermissions(t *testing.T) {
	dir := t.TempDir()
	folder, text, empty := filepath.Join(dir, "folder"), filepath.Join(dir, "text"), filepath.Join(dir, "empty")
	require.NoError(t, os.Mkdir(folder, 0o755))
	require.NoError(t, os.WriteFile(text, bytes.Repeat([]byte("not a casebook "), 100), 0o644))
	require.NoError(t, os.WriteFile(empty, nil, 0o644))
	for _, name := range []string{folder, text, empty} {
		before, err := os.Stat(name)
		require.NoError(t, err)
		for _, open := range []func(context.Context, string) (*Book, error){Open, Create} {
			_, err = open(t.Context(), name)
			require.ErrorIs(t, err, ErrNotCasebook, name)
		}
		after, err := os.Stat(name)
		require.NoError(t, err)
		require.Equal(t, before.Mode(), after.Mode(), name)
	}
}

func TestPathsWithOddCharacters(t *testing.T) {
	for _, name := range []string{"with space", "a?b#c%20d", "ü", "quote'"} {
		b, err := Create(t.Context(), filepath.Join(t.TempDir(), name, name))
		require.NoError(t, err)
		require.FileExists(t, b.Path())
		require.NoError(t, b.Close())
		info, err := os.Stat(b.Path())
		require.NoError(t, err)
		require.Positive(t, info.Size())
	}
}

func TestCasesAreFoundByNameAndCorrectionsKeepTheEarlierForm(t *testing.T) {
	b := newBook(t)
	c := newCase(t, b, "Fox")
	_, err := b.NewCase(t.Context(), Case{Name: "fox"}, now.Add(1))
	require.ErrorIs(t, err, ErrNameTaken)
	got, err := b.Find(t.Context(), "FOX")
	require.NoError(t, err)
	require.Equal(t, c, got)
	require.NoError(t, b.ChangeCase(t.Context(), c.ID, now, func(c *Case) error { c.Injured, c.Name = "right", "hare"; return nil }))
	_, err = b.Find(t.Context(), "fox")
	require.ErrorIs(t, err, ErrNoCase)
	require.ErrorContains(t, err, "hare")
	got, err = b.Find(t.Context(), "hare")
	require.NoError(t, err)
	require.Equal(t, Injured("right"), got.Injured)
	log, err := b.History(t.Context(), c.ID)
	require.NoError(t, err)
	require.Len(t, log, 2)
	require.Contains(t, string(log[0].Body), `"injured":"left"`)
	require.Error(t, b.ChangeCase(t.Context(), c.ID, now, func(c *Case) error { c.Rules.Limit = 5; return nil }))
	for _, bad := range []string{"", " x", "a/b", "a\nb"} {
		_, err := b.NewCase(t.Context(), Case{Name: bad}, now)
		require.Error(t, err, "%q", bad)
	}
}

func TestASessionIsKeptWhole(t *testing.T) {
	b := newBook(t)
	c := newCase(t, b, "fox")
	id := add(t, b, c, 1, 3)
	add(t, b, c, 2, 5)
	got := sessions(t, b, c)
	require.Len(t, got, 2)
	require.Equal(t, id, got[1].ID, "oldest first")
	s := got[1]
	require.Equal(t, form(3).Conditions, s.Summary.Conditions)
	require.Equal(t, analysis("1").Summary.Measures, s.Summary.Measures)
	require.Equal(t, analysis("1").Curves, s.Curves)
	require.Equal(t, []string{"invented"}, s.Remarks)
	require.Equal(t, "run-001-left.csv", s.Files[0].Name)
	back, err := b.Recordings(t.Context(), c.ID, id)
	require.NoError(t, err)
	require.Equal(t, recording.Right, back[1].Side)
	r, err := back[0].Open()
	require.NoError(t, err)
	data, err := io.ReadAll(r)
	require.NoError(t, err)
	require.Equal(t, noise(2, 2000), data)
	doc, steps, err := b.Outputs(t.Context(), c.ID, id)
	require.NoError(t, err)
	require.Equal(t, analysis("1").SessionJSON, doc)
	timed, err := TimedSteps(steps, recording.Left, "peak_lowering_rate_deg_s")
	require.NoError(t, err)
	require.Len(t, timed, 1, "only used steps that have the measure")
	_, err = TimedSteps(steps, recording.Left, "nonesuch")
	require.Error(t, err)
}

func TestTheSameSessionTwiceIsRecognised(t *testing.T) {
	b := newBook(t)
	c, other := newCase(t, b, "fox"), newCase(t, b, "hare")
	id := add(t, b, c, 1, 3)
	src := sources(1, 2000)
	src[0], src[1] = src[1], src[0]
	for _, files := range [][]recording.Source{src, src[:1], {recording.Bytes("renamed.csv", noise(2, 2000), recording.Right)}} {
		_, err := b.AddSession(t.Context(), c.ID, form(1), files, analysis("1"), now)
		var dup *DuplicateError
		require.ErrorAs(t, err, &dup)
		require.Equal(t, id, dup.Session)
	}
	add(t, b, other, 1, 3) // another case may have it
	require.Len(t, sessions(t, b, c), 1)
}

func TestAFileThatChangedWhileItWasReadIsNotKept(t *testing.T) {
	b := newBook(t)
	c := newCase(t, b, "fox")
	a := analysis("1")
	a.Hashes = []string{"0000"}
	_, err := b.AddSession(t.Context(), c.ID, form(1), sources(1, 10), a, now)
	require.ErrorContains(t, err, "changed while it was read")
	broken := sources(1, 10)
	broken[1].Open = func() (io.ReadCloser, error) { return nil, errors.New("gone") }
	_, err = b.AddSession(t.Context(), c.ID, form(1), broken, analysis("1"), now)
	require.ErrorContains(t, err, "run-001-right.csv: gone")
	require.Empty(t, sessions(t, b, c))
}

func TestConditionsAreCorrectedWithoutComputingAgain(t *testing.T) {
	b := newBook(t)
	c := newCase(t, b, "fox")
	id := add(t, b, c, 1, 3)
	require.NoError(t, b.ChangeSession(t.Context(), c.ID, id, now, func(f *SessionForm) error { f.Conditions.Shoe = "blue"; return nil }))
	require.Equal(t, "blue", sessions(t, b, c)[0].Summary.Conditions.Shoe)
	require.ErrorIs(t, b.ChangeSession(t.Context(), c.ID, "none", now, func(*SessionForm) error { return nil }), ErrNoSession)
}

func TestRecomputeKeepsOldAndNewApart(t *testing.T) {
	b := newBook(t)
	c := newCase(t, b, "fox")
	id := add(t, b, c, 1, 3)
	add(t, b, c, 2, 2)
	require.NoError(t, b.AddAnalysis(t.Context(), c.ID, id, analysis("2"), now.Add(1)))
	got := sessions(t, b, c)
	require.Equal(t, []string{"1", "2"}, got[0].Methods)
	require.Equal(t, "2", got[0].Summary.Method)
	require.Equal(t, "1", got[1].Summary.Method)

	calls := 0
	failing := func(_ context.Context, src []recording.Source, i asymmetry.Injured, _ Reading) (*gait.Result, error) {
		calls++
		require.Len(t, src, 2)
		require.Equal(t, asymmetry.InjuredLeft, i)
		return nil, errors.New("no")
	}
	done, errs, err := b.Recompute(t.Context(), c.ID, "2", failing, now)
	require.NoError(t, err)
	require.Empty(t, done)
	require.Len(t, errs, 1)
	require.Equal(t, 1, calls, "only the session without that method")
	require.Equal(t, []string{"1"}, sessions(t, b, c)[1].Methods)
}

// The pain of the next morning counts as "settled by the morning after"; on the day
// of the run nobody knows it.
func TestTheNextMorningIsNotEnteredOnTheDayOfTheRun(t *testing.T) {
	b := newBook(t)
	c := newCase(t, b, "fox")
	day := diary.DateOf(now)
	id := EntryID(day, 1)
	set := func(at time.Time, edit func(e *diary.Entry)) error {
		return b.ChangeEntry(t.Context(), c.ID, id, day, at, func(e *diary.Entry) error { edit(e); return nil })
	}
	none, err := diary.Scored(0)
	require.NoError(t, err)
	tomorrow := now.Add(24 * time.Hour)
	for name, edit := range map[string]func(e *diary.Entry){
		"pain":      func(e *diary.Entry) { e.Run, e.Morning = true, none },
		"stiffness": func(e *diary.Entry) { e.Run, e.Stiffness = true, none },
	} {
		require.ErrorContains(t, set(now, edit), "the morning after", name)
	}
	require.NoError(t, set(now, func(e *diary.Entry) { e.Run, e.Morning = false, none }), "a day without a run asks how the leg is")
	require.ErrorContains(t, set(now, func(e *diary.Entry) { e.Run = true }), "the morning after", "it would become the morning after a run")
	require.NoError(t, set(tomorrow, func(e *diary.Entry) { e.Run, e.Morning = true, none }))
	require.NoError(t, set(now, func(e *diary.Entry) { e.Note = "flat" }), "what was kept already does not bar a correction of something else")
}

func TestDiaryKeepsAllVersions(t *testing.T) {
	b := newBook(t)
	c := newCase(t, b, "fox")
	day := diary.DateOf(now)
	id := EntryID(day, 1)
	set := func(v int) error {
		return b.ChangeEntry(t.Context(), c.ID, id, day, now, func(e *diary.Entry) error {
			s, err := diary.Scored(v)
			e.Run, e.During = true, s
			return err
		})
	}
	require.NoError(t, set(6))
	require.NoError(t, set(1))
	require.Error(t, set(11))
	require.NoError(t, b.RemoveEntry(t.Context(), c.ID, id, now))
	log, err := b.Diary(t.Context(), c.ID)
	require.NoError(t, err)
	require.Len(t, log.Entries, 3)
	require.Less(t, log.Entries[0].Seq, log.Entries[1].Seq)
	require.True(t, log.Entries[2].Removed)
	tomorrow := day.Add(1)
	require.ErrorContains(t, b.ChangeEntry(t.Context(), c.ID, EntryID(tomorrow, 1), tomorrow, now, func(*diary.Entry) error { return nil }), "after today")
	require.Error(t, b.ChangeEntry(t.Context(), c.ID, id, day.Add(-1), now, func(*diary.Entry) error { return nil }), "an entry keeps its date")
	require.Error(t, b.AddRelease(t.Context(), c.ID, diary.Release{On: day}, now))
	require.NoError(t, b.AddRelease(t.Context(), c.ID, diary.Release{On: day, By: "physician"}, now))
	_, err = b.AddExercise(t.Context(), c.ID, diary.Exercise{Date: day, Sets: 3}, now)
	require.ErrorContains(t, err, "distance")
	_, err = b.AddExercise(t.Context(), c.ID, diary.Exercise{Date: day, Sets: 3, Metres: 10}, now)
	require.NoError(t, err)
	log, err = b.Diary(t.Context(), c.ID)
	require.NoError(t, err)
	require.Len(t, log.Exercises, 1)
	require.Len(t, log.Releases, 1)
}

// Nothing of a deleted case may be found in the file, nor of the others lost.
func TestDeleteReallyDeletes(t *testing.T) {
	b := newBook(t)
	gone, stays := newCase(t, b, "gone-pseudonym"), newCase(t, b, "stays")
	src := []recording.Source{recording.Bytes("gone-file.csv", noise(99, 5000), recording.Left)}
	_, err := b.AddSession(t.Context(), gone.ID, form(1), src, analysis("1"), now)
	require.NoError(t, err)
	add(t, b, stays, 5, 2)
	kept := packBytes(noise(99, 5000))[100:200]
	raw, err := os.ReadFile(b.Path())
	require.NoError(t, err)
	require.True(t, bytes.Contains(raw, kept), "the recording is in the file before")
	require.True(t, bytes.Contains(raw, []byte("gone-pseudonym")))
	require.NoError(t, os.WriteFile(BackupName(b.Path(), 1), raw, 0o600))

	require.NoError(t, b.Delete(t.Context(), gone.ID))
	raw, err = os.ReadFile(b.Path())
	require.NoError(t, err)
	for _, trace := range [][]byte{kept, []byte("gone-pseudonym"), []byte("gone-file"), []byte(gone.ID)} {
		require.False(t, bytes.Contains(raw, trace), "%q", trace)
	}
	others, err := filepath.Glob(b.Path() + "?*")
	require.NoError(t, err)
	require.Empty(t, others, "no journal and no backup is left")
	require.Len(t, sessions(t, b, stays), 1)
	require.NoError(t, b.Check(t.Context()))
	require.ErrorIs(t, b.Delete(t.Context(), gone.ID), ErrNoCase)
}
