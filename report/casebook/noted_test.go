package casebook

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/gait/diary"
)

// A sign in the note of a session or of an exercise reaches the review, also where
// the note was blanked or its session deleted since.
func TestSignsInNotesBesideTheDiaryReachTheReview(t *testing.T) {
	b := newBook(t)
	c := newCase(t, b, "wren")
	asked := func() (out []string) {
		r, err := b.Review(t.Context(), c.ID, diary.DateOf(now), "test")
		require.NoError(t, err)
		for _, x := range r.Advice.Reasons {
			if x.Rule == "note" && x.Missing {
				out = append(out, x.Text)
			}
		}
		return out
	}
	id := add(t, b, c, 1, 3)
	require.Empty(t, asked())
	note := func(text string) {
		t.Helper()
		require.NoError(t, b.ChangeSession(t.Context(), c.ID, id, now.Add(time.Hour), func(f *SessionForm) error {
			f.Note = text
			return nil
		}))
	}
	for _, text := range []string{"the calf is swollen", ""} {
		note(text)
		require.Len(t, asked(), 1, text)
		require.Contains(t, asked()[0], "Your note with the session with sensors of 2026-05-28 says “swollen”")
	}
	note("not swollen, a tight sock")
	require.Len(t, asked(), 1)
	require.Contains(t, asked()[0], "“tight”")
	_, err := b.AddExercise(t.Context(), c.ID, diary.Exercise{Date: diary.DateOf(now), Sets: 3, Metres: 10, Note: "toes tingling"}, now)
	require.NoError(t, err)
	require.NoError(t, b.DeleteSession(t.Context(), c.ID, id))
	require.Len(t, asked(), 2)
	require.Contains(t, strings.Join(asked(), "\n"), "Your note with the heel walks of 2026-05-31 says “tingling”")
}
