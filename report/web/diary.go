package web

import (
	"net/http"
	"slices"
	"strconv"

	"setdown/gait/diary"
	"setdown/report/casebook"
	report "setdown/report/page"
)

// diaryView is the page of diary and exercises.
type diaryView struct {
	Case     casebook.Case
	Today    diary.Date
	Entry    diary.Entry
	Old      bool   // an entry that is there already
	Same     string // the ID of an entry of today, "" where there is none
	Sliders  []slider
	Asks     []ask
	Symptoms []symptomGroup
	Entries  []entryLine
	Advice   diary.Advice
	Missing  []link
	Next     []diary.NextExercise
	Done     []exerciseLine
	Limits   string
	Releases []diary.Release
	Pain     slider
}

// slider is a scale from 0 to 10 with "not entered" at its left end.
type slider struct {
	Name, Text string
	Value      int
	Words      string
}

func newSlider(name, text string, s diary.Score) slider {
	out := slider{name, text, -1, "not entered"}
	if v, ok := s.Value(); ok {
		out.Value, out.Words = v, strconv.Itoa(v)
	}
	return out
}

type symptomGroup struct {
	When string
	Asks []ask
}

type entryLine struct {
	ID, Day, Pain, Run, Note string
}

type exerciseLine struct{ Day, Drill, Dose, Pain, Note string }

func (s *Server) diaryPage(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	today, _ := s.day(c)
	data, err := s.cfg.Book.Review(r.Context(), c.ID, today, s.made())
	if err != nil {
		return err
	}
	entries := diary.Current(data.Log)
	v := diaryView{Case: c, Today: today, Advice: data.Advice, Missing: missingLinks(c, data.Advice), Next: data.Next, Limits: report.LocalRules, Releases: data.Log.Releases,
		Entry: diary.Entry{Date: today, Run: true}, Pain: newSlider("pain", "Most pain during it or the next morning", diary.Score{})}
	for _, e := range data.Log.Entries { // one that was taken back can be entered again
		if e.ID == r.URL.Query().Get("entry") {
			v.Entry, v.Old = diary.Entry{ID: e.ID, Date: e.Date, Run: true}, true
		}
	}
	for _, e := range entries {
		if e.ID == v.Entry.ID {
			v.Entry = e
		}
		if e.Date == today {
			v.Same = e.ID
		}
	}
	v.fill()
	for _, e := range slices.Backward(entries) {
		v.Entries = append(v.Entries, lineOf(e))
	}
	v.Done = exercisesOf(data.Log)
	return s.show(w, r, http.StatusOK, "diary", shell{Title: "Diary and exercises: " + c.Name, Here: "/cases", Case: &c, Tab: "diary", Scripts: []string{"diary.js"}}, v)
}

// fill makes the fields of the entry's form.
func (v *diaryView) fill() {
	e := v.Entry
	v.Sliders = []slider{
		newSlider("during", "Pain during the run", e.During),
		newSlider("after", "Pain just after", e.After),
		newSlider("morning", "Pain the next morning", e.Morning),
		newSlider("stiffness", "Stiffness the next morning", e.Stiffness),
	}
	v.Asks = []ask{
		{"painkillers", "Painkillers taken?", e.Painkillers.String()},
		{"slapping", "Did you hear or feel the foot slap?", e.Slapping.String()},
		{"front_of_ankle", "Pain across the front of the ankle, where the laces press?", e.FrontOfAnkle.String()},
		{"tender_spot", "A spot that hurts when pressed?", e.TenderSpot.String()},
		{"loosened_laces", "Run with looser laces?", e.LoosenedLaces.String()},
	}
	for i, q := range diary.Symptoms {
		when := q.Tier.String()
		if n := len(v.Symptoms); n == 0 || v.Symptoms[n-1].When != when {
			v.Symptoms = append(v.Symptoms, symptomGroup{When: when})
		}
		g := &v.Symptoms[len(v.Symptoms)-1]
		g.Asks = append(g.Asks, ask{q.Key, q.Ask, e.Checklist[i].String()})
	}
}

func lineOf(e diary.Entry) entryLine {
	pain := func(s diary.Score) string {
		if v, ok := s.Value(); ok {
			return strconv.Itoa(v)
		}
		return "–"
	}
	out := entryLine{ID: e.ID, Day: dayWords(e.Date), Pain: pain(e.During) + " / " + pain(e.After) + " / " + pain(e.Morning), Note: e.Note, Run: "no run"}
	if e.Run {
		out.Run = "run"
		if e.Minutes > 0 {
			out.Run = strconv.FormatFloat(e.Minutes, 'g', 4, 64) + " min"
		}
		if e.Kilometres > 0 {
			out.Run += ", " + strconv.FormatFloat(e.Kilometres, 'g', 4, 64) + " km"
		}
	}
	return out
}

// exercisesOf lists the newest versions, newest day first.
func exercisesOf(log diary.Log) []exerciseLine {
	newest := map[string]diary.Exercise{}
	for _, e := range log.Exercises {
		if e.Seq >= newest[e.ID].Seq {
			newest[e.ID] = e
		}
	}
	var all []diary.Exercise
	for _, e := range newest {
		if !e.Removed {
			all = append(all, e)
		}
	}
	slices.SortFunc(all, func(a, b diary.Exercise) int { return int(b.Seq - a.Seq) })
	var out []exerciseLine
	for _, e := range all[:min(len(all), 60)] {
		out = append(out, exerciseLine{dayWords(e.Date), e.Drill.String(), diary.Stage{Sets: e.Sets, Metres: e.Metres, Slow: e.Slow, Fast: e.Fast}.String(), e.Pain.String(), e.Note})
	}
	return out
}

func (s *Server) diarySave(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return formError(err)
	}
	f := form{r: r}
	day, id := f.date("date"), f.text("entry")
	if f.err != nil {
		return f.err
	}
	if day.IsZero() {
		return bad("the day is needed")
	}
	fresh := id == ""
	if fresh {
		if id, err = s.freshEntry(r, c, day); err != nil {
			return err
		}
	}
	_, now := s.day(c)
	err = s.cfg.Book.ChangeEntry(r.Context(), c.ID, id, day, now, func(e *diary.Entry) error {
		f.readEntry(e)
		if f.err == nil && fresh && *e == (diary.Entry{ID: e.ID, Date: e.Date, Run: e.Run}) {
			return bad("nothing is entered: give the pain, the running or the checklist")
		}
		return f.err
	})
	if err != nil {
		return formFault(err)
	}
	return s.next(w, r, "/cases/"+c.ID+"/diary?done=entry")
}

// freshEntry is the ID of the day's next entry.
func (s *Server) freshEntry(r *http.Request, c casebook.Case, day diary.Date) (string, error) {
	log, err := s.cfg.Book.Diary(r.Context(), c.ID)
	if err != nil {
		return "", err
	}
	for n := 1; ; n++ {
		id := casebook.EntryID(day, n)
		if !slices.ContainsFunc(log.Entries, func(e diary.Entry) bool { return e.ID == id }) {
			return id, nil
		}
	}
}

// readEntry takes the form over into a page of the diary.
func (f *form) readEntry(e *diary.Entry) {
	e.Removed = false
	e.Run = f.text("run") == "yes"
	e.During, e.After, e.Morning, e.Stiffness = f.score("during"), f.score("after"), f.score("morning"), f.score("stiffness")
	e.Painkillers, e.Slapping, e.FrontOfAnkle = f.answer("painkillers"), f.answer("slapping"), f.answer("front_of_ankle")
	e.TenderSpot, e.LoosenedLaces = f.answer("tender_spot"), f.answer("loosened_laces")
	for i, q := range diary.Symptoms {
		e.Checklist[i] = f.answer(q.Key)
	}
	// One tick answers the rest with no, and never a question that was answered.
	if f.text("none_of_these") == "yes" {
		for i, a := range e.Checklist {
			if a == diary.Unanswered {
				e.Checklist[i] = diary.No
			}
		}
	}
	e.Minutes, e.Kilometres, e.Plan, e.Note = f.plain("minutes"), f.plain("kilometres"), f.text("plan"), f.text("note")
	if !e.Run {
		e.Minutes, e.Kilometres = 0, 0
	}
}

func (s *Server) diaryRemove(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	_, now := s.day(c)
	if err := s.cfg.Book.RemoveEntry(r.Context(), c.ID, r.PostFormValue("entry"), now); err != nil {
		return formFault(err)
	}
	return s.next(w, r, "/cases/"+c.ID+"/diary?done=removed")
}

func (s *Server) exerciseSave(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	f := form{r: r}
	drill, err := diary.ParseDrill(f.text("drill"))
	if err != nil {
		f.fail("%v", err)
	}
	e := diary.Exercise{Date: f.date("date"), Drill: drill, Sets: f.whole("sets"), Metres: f.plain("metres"), Slow: f.whole("slow"),
		Fast: f.whole("fast"), LoadKilograms: f.plain("load_kg"), Pain: f.score("pain"), Note: f.text("note")}
	if f.err != nil {
		return f.err
	}
	_, now := s.day(c)
	if _, err := s.cfg.Book.AddExercise(r.Context(), c.ID, e, now); err != nil {
		return formFault(err)
	}
	return s.next(w, r, "/cases/"+c.ID+"/diary?done=saved#exercises")
}

func (s *Server) releaseSave(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	f := form{r: r}
	rel := diary.Release{On: f.date("on"), By: f.text("by"), SlapKnown: f.text("slap_known") == "yes", Note: f.text("note")}
	if f.err != nil {
		return f.err
	}
	_, now := s.day(c)
	if err := s.cfg.Book.AddRelease(r.Context(), c.ID, rel, now); err != nil {
		return formFault(err)
	}
	return s.next(w, r, "/cases/"+c.ID+"/diary?done=saved")
}
