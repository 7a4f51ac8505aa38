package diary_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/diary"
)

// The notes are worded as runners may word them. The questions they should lead to
// were written down before the list of words was tried on them.
func TestSignsInNotesAreAskedAbout(t *testing.T) {
	for note, ask := range map[string]diary.Symptom{
		"Numbness on top of the foot after 10 min":        diary.NumbOrTight,
		"my foot felt dead and tingly":                    diary.NumbOrTight,
		"pins and needles in the big toe":                 diary.NumbOrTight,
		"calf tightness that does not go away":            diary.NumbOrTight,
		"Calf TIGHT, would not let go":                    diary.NumbOrTight,
		"night pain again":                                diary.NightOrRestPain,
		"the pain woke me at 3":                           diary.NightOrRestPain,
		"hurts at night":                                  diary.NightOrRestPain,
		"ankle and calf still swollen":                    diary.SwollenCalf,
		"some swelling":                                   diary.SwollenCalf,
		"foot drop on the stairs":                         diary.FootCannotBeLifted,
		"I can't lift my toes":                            diary.FootCannotBeLifted,
		"couldn’t really lift the foot":                   diary.FootCannotBeLifted,
		"kept tripping over my toes":                      diary.FootCannotBeLifted,
		"the foot slapped on the way home":                diary.NewSlap,
		"felt feverish":                                   diary.FeverOrRedness,
		"fell on the kerb":                                diary.SeverePain,
		"had a fall on Tuesday":                           diary.SeverePain,
		"foot was quite cold":                             diary.PaleOrColdFoot,
		"no more numbness than last week":                 diary.NumbOrTight,
		"not swollen, but tingling":                       diary.NumbOrTight,
		"pee was normal; dark brown urine on Monday only": diary.DarkUrine,
	} {
		log := quietLog()
		at(&log, 1, func(e *diary.Entry) { e.Note = note })
		a := advised(log)
		require.Equal(t, diary.Hold, a.Word, note)
		require.False(t, a.Next.Allowed, note)
		found := false
		for _, r := range a.Reasons {
			found = found || r.Rule == "note" && strings.Contains(r.Text, diary.Symptoms[ask].Ask)
		}
		require.True(t, found, "%s: %+v", note, a.Reasons)
	}
}

func TestOtherNotesAreLeftAlone(t *testing.T) {
	for _, note := range []string{"", "easy run by the river", "no numbness or tingling", "not swollen", "without night pain", "rained, new socks",
		"ran at night with a lamp", "fast last km", "legs fresh", "blue shoes", "10 x 1 min"} {
		log := quietLog()
		at(&log, 1, func(e *diary.Entry) { e.Note = note })
		require.Equal(t, diary.WithinRules, advised(log).Word, note)
	}
}

// A question answered yes says more than the note; a note that is put otherwise
// no longer asks, and one that is blanked or removed still does.
func TestANoteIsAnsweredByTheChecklistOrByTheRunner(t *testing.T) {
	change := func(edit func(e *diary.Entry)) diary.Advice {
		log := quietLog()
		at(&log, 1, func(e *diary.Entry) { e.Note = "foot numb" })
		next := run(1)
		next.Seq, next.Note = 500, "foot numb"
		edit(&next)
		log.Entries = append(log.Entries, next)
		return advised(log)
	}
	require.Equal(t, diary.ClinicianFirst, change(func(e *diary.Entry) { e.Checklist[diary.NumbOrTight] = diary.Yes }).Word)
	otherwise := change(func(e *diary.Entry) { e.Note = "foot not numb, shoe laced too hard" })
	require.Equal(t, diary.Hold, otherwise.Word)
	require.True(t, otherwise.Next.Allowed)
	require.False(t, change(func(e *diary.Entry) { e.Note = "" }).Next.Allowed)
	require.False(t, change(func(e *diary.Entry) { e.Removed = true }).Next.Allowed)
}

// One day with several recordings is asked about once.
func TestADayWithoutAnEntryIsAskedAboutOnce(t *testing.T) {
	d := today.Add(-2)
	a := diary.Advise(person(), quietLog(), diary.Sensors{Runs: []diary.Date{d, d, d}}, diary.DefaultRules(), today)
	require.Len(t, a.Reasons, 1)
}

// The notes beside an exercise and a session are read as those of the diary.
func TestSignsInNotesOfExercisesAndSessionsAreAskedAbout(t *testing.T) {
	for name, add := range map[string]func(log *diary.Log, seq int64, ago int, note string){
		"note with the heel walks": func(log *diary.Log, seq int64, ago int, note string) {
			log.Exercises = append(log.Exercises, diary.Exercise{ID: "x1", Seq: seq, Date: today.Add(-ago), Sets: 3, Metres: 10, Pain: score(0), Note: note})
		},
		"note with the session with sensors": func(log *diary.Log, seq int64, ago int, note string) {
			log.Notes = append(log.Notes, diary.Noted{ID: "s1", Seq: seq, Date: today.Add(-ago), Note: note})
		},
	} {
		asked := func(edit func(log *diary.Log)) (asks, holds bool) {
			log := quietLog()
			edit(&log)
			a := advised(log)
			for _, r := range a.Reasons {
				if r.Rule == "note" {
					require.Contains(t, r.Text, name)
					holds = true
					asks = asks || r.Missing
				}
			}
			require.Equal(t, asks, !a.Next.Allowed)
			return asks, holds
		}
		expect := func(wantAsks, wantHolds bool, edit func(log *diary.Log)) {
			t.Helper()
			asks, holds := asked(edit)
			require.Equal(t, wantAsks, asks, name)
			require.Equal(t, wantHolds, holds, name)
		}
		expect(true, true, func(log *diary.Log) { add(log, 500, 2, "foot went numb") })
		expect(false, false, func(log *diary.Log) { add(log, 500, 2, "no numbness, new laces") })
		expect(false, false, func(log *diary.Log) { add(log, 500, diary.JudgedDays, "foot went numb") })
		expect(true, true, func(log *diary.Log) { add(log, 500, 2, "foot went numb"); add(log, 501, 2, "") })
		expect(false, true, func(log *diary.Log) { add(log, 500, 2, "foot went numb"); add(log, 501, 2, "not numb, laces too hard") })
		log := quietLog()
		add(&log, 500, 2, "foot went numb")
		at(&log, 1, func(e *diary.Entry) { e.Checklist[diary.NumbOrTight] = diary.Yes })
		a := advised(log)
		require.Equal(t, diary.ClinicianFirst, a.Word)
		require.NotContains(t, a.Reasons[len(a.Reasons)-1].Text, name, "a question answered yes says more")
	}
}
