package diary_test

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/diary"
)

// The programme is common practice without a source, as docs/pain-rules.md says.
func TestNextExercises(t *testing.T) {
	walk := func(ago, sets int, metres float64, pain diary.Score) diary.Exercise {
		return diary.Exercise{ID: fmt.Sprint("x", ago), Date: today.Add(-ago), Drill: diary.HeelWalk, Sets: sets, Metres: metres, Pain: pain}
	}
	count := func(ago, n int) diary.Exercise {
		return diary.Exercise{ID: fmt.Sprint("x", ago), Date: today.Add(-ago), Drill: diary.HeelWalk, Sets: 3, Slow: n, Fast: n, Pain: score(0)}
	}
	quiet := diary.Advice{Word: diary.WithinRules}
	cases := []struct {
		name   string
		log    []diary.Exercise
		advice diary.Advice
		want   diary.Stage
		pause  bool
	}{
		{"nothing done yet", nil, quiet, diary.Stage{Sets: 3, Metres: 10}, false},
		{"a quiet time or two", []diary.Exercise{walk(5, 3, 10, score(0)), walk(3, 3, 10, score(2))}, quiet, diary.Stage{Sets: 3, Metres: 10}, false},
		{"three quiet times", []diary.Exercise{walk(5, 3, 10, score(0)), walk(3, 3, 10, score(0)), walk(1, 3, 10, score(0))}, quiet, diary.Stage{Sets: 4, Metres: 10}, false},
		{"a missing pain never moves forward", []diary.Exercise{walk(5, 3, 10, score(0)), walk(3, 3, 10, score(0)), walk(1, 3, 10, diary.Score{})}, quiet, diary.Stage{Sets: 3, Metres: 10}, false},
		{"pain over the limit goes back", []diary.Exercise{walk(5, 4, 15, score(0)), walk(1, 4, 15, score(3))}, quiet, diary.Stage{Sets: 4, Metres: 10}, false},
		{"a long pause goes back", []diary.Exercise{walk(20, 4, 20, score(0))}, quiet, diary.Stage{Sets: 4, Metres: 15}, false},
		{"repetitions grow", []diary.Exercise{count(5, 15), count(3, 15), count(1, 15)}, quiet, diary.Stage{Sets: 3, Slow: 20, Fast: 20}, false},
		{"the last stage stays", []diary.Exercise{count(5, 30), count(3, 30), count(1, 30)}, quiet, diary.Stage{Sets: 3, Slow: 30, Fast: 30}, false},
		{"clinician first pauses", nil, diary.Advice{Word: diary.ClinicianFirst}, diary.Stage{}, true},
		{"a removed line does not count", []diary.Exercise{walk(5, 3, 10, score(0)), walk(3, 3, 10, score(0)), walk(1, 3, 10, score(0)),
			{ID: "x1", Seq: 9, Removed: true, Date: today.Add(-1)}}, quiet, diary.Stage{Sets: 3, Metres: 10}, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			next := diary.NextExercises(diary.Log{Exercises: c.log}, c.advice, diary.DefaultRules(), today)
			require.Len(t, next, 2)
			require.Equal(t, c.want, next[0].Stage, next[0].Text)
			require.Equal(t, c.pause, next[0].Pause)
			require.NotEmpty(t, next[1].Text)
		})
	}
}

// Whether exercises are the thing to do at all is what the checklist asks.
func TestExercisesWaitForTheChecklist(t *testing.T) {
	const first = "Answer the checklist first; if every answer is no: "
	text := func(entries ...diary.Entry) string {
		log := diary.Log{Entries: entries}
		return diary.NextExercises(log, diary.Advise(diary.Person{}, log, diary.Sensors{}, diary.DefaultRules(), today), diary.DefaultRules(), today)[0].Text
	}
	answered, old, open, yes := run(2), run(8), run(2), run(2)
	open.Checklist[diary.DarkUrine] = diary.Unanswered
	yes.Checklist[diary.DarkUrine] = diary.Yes
	require.Equal(t, first+"Begin heel walks with 3 × 10 m, slowly and upright; stop if pain passes 2/10.", text())
	require.Contains(t, text(old), first, "a week ago is not now")
	require.Contains(t, text(open), first, "one question was left out")
	require.Equal(t, "Begin heel walks with 3 × 10 m, slowly and upright; stop if pain passes 2/10.", text(old, answered))
	require.Contains(t, text(yes), "Pause the heel walks")
	answered.ID, answered.Seq, answered.Removed = "taken back", 9, true
	require.Contains(t, text(answered), first, "an entry that was removed answers nothing")
}

func TestAForgottenFieldIsNotZero(t *testing.T) {
	var e diary.Entry
	text, err := json.Marshal(e)
	require.NoError(t, err)
	require.Contains(t, string(text), `"pain_during":null`)
	require.Contains(t, string(text), `"bone_spot":""`)
	full := run(3)
	full.Checklist[diary.DarkUrine] = diary.Yes
	text, err = json.Marshal(full)
	require.NoError(t, err)
	var back diary.Entry
	require.NoError(t, json.Unmarshal(text, &back))
	require.Equal(t, full, back)
	require.Error(t, json.Unmarshal([]byte(`{"pain_during": 11}`), &back))
	require.Error(t, json.Unmarshal([]byte(`{"checklist": {"unheard_of": "no"}}`), &back))
	require.Error(t, json.Unmarshal([]byte(`{"painkillers": "perhaps"}`), &back))
}

func TestDatesAreCivilDays(t *testing.T) {
	d, err := diary.ParseDate("2026-03-29")
	require.NoError(t, err)
	require.Equal(t, "2026-04-01", d.Add(3).String())
	require.Equal(t, 366, diary.On(2028, 3, 1).Since(diary.On(2027, 3, 1)))
	_, err = diary.ParseDate("29.3.2026")
	require.ErrorContains(t, err, "write it as")
}
