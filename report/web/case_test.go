package web

import (
	"html"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/gait/diary"
	"setdown/report/casebook"
	report "setdown/report/page"
)

// fresh makes a case and returns its address.
func (a *app) fresh(name string) string {
	a.t.Helper()
	got := a.post("/cases", url.Values{"name": {name}, "injured": {"right"}})
	require.Equal(a.t, 303, got.status, got.body)
	return strings.TrimSuffix(got.header.Get("Location"), "/form")
}

// person fills in the first-visit form.
func person() url.Values {
	return url.Values{"name": {"Ann"}, "injured": {"right"}, "onset": {"2026-05-01"}, "age": {"40"}, "diabetes": {"no"}, "reduced_feeling": {"no"},
		"earlier_bone_stress": {"no"}, "low_energy_intake": {"no"}, "missed_periods": {"no"}, "lift_strength": {"5"}, "cautions_read": {"yes"},
		"limit": {"2"}, "tendon_limit": {"5"}, "settled_limit": {"2"}, "weekly_rise": {"10"}}
}

// run is a diary entry of a quiet run.
func run(day string, pain string) url.Values {
	return url.Values{"date": {day}, "run": {"yes"}, "during": {pain}, "after": {pain}, "morning": {pain}, "stiffness": {"0"}, "minutes": {"20"},
		"painkillers": {"no"}, "slapping": {"no"}, "front_of_ankle": {"no"}, "tender_spot": {"no"}, "loosened_laces": {"no"}, "none_of_these": {"yes"}}
}

func TestTheDiaryChangesTheAdvice(t *testing.T) {
	a := newApp(t)
	c := a.fresh("Ann")
	has(t, a.ok(c+"/diary"), "Next run: "+diary.Hold.String())
	require.Equal(t, 303, a.post(c+"/form", person()).status)
	for _, day := range []string{"2026-05-20", "2026-05-23", "2026-05-26", "2026-05-30"} {
		require.Equal(t, 303, a.post(c+"/diary", run(day, "0")).status)
	}
	has(t, a.ok(c+"/diary"), "Next run: "+diary.WithinRules.String())
	require.Equal(t, 303, a.post(c+"/diary", run("2026-05-31", "5")).status)
	has(t, a.ok(c+"/diary"), "Next run: "+diary.StepBack.String())
	worse := run("2026-06-01", "5")
	worse.Set("foot_cannot_be_lifted", "yes")
	worse.Set("morning", "-1")
	worse.Set("stiffness", "-1")
	require.Equal(t, 303, a.post(c+"/diary", worse).status)
	has(t, a.ok(c+"/diary"), "Next run: "+diary.ClinicianFirst.String())
	has(t, a.ok(c), "can no longer be lifted", "the review says so too")

	require.Equal(t, 303, a.post(c+"/diary/remove", url.Values{"entry": {"2026-06-01-1"}}).status)
	has(t, a.ok(c+"/diary"), "Next run: "+diary.ClinicianFirst.String(), "taking an entry back never makes the advice bolder")
}

// "Until then do not run" must not be a dead end: what is missing is one tap away, under
// the name that its page has.
func TestWhatIsMissingIsOneTapAway(t *testing.T) {
	a := newApp(t)
	c := a.fresh("Ann")
	f := run("2026-05-31", "0")
	f.Del("minutes")
	require.Equal(t, 303, a.post(c+"/diary", f).status)
	form, entry := `<a href="`+c+`/form">Person and rules</a>`, `<a href="`+c+`/diary?entry=2026-05-31-1">the entry of 31 May 2026</a>`
	for _, path := range []string{c, c + "/diary"} {
		page := html.UnescapeString(a.ok(path))
		has(t, page, "Fill in what is missing: ")
		has(t, page, form, path)
		has(t, page, entry, path)
	}
	require.Equal(t, 303, a.post(c+"/form", person()).status)
	f = run("2026-05-31", "0")
	f.Set("entry", "2026-05-31-1")
	require.Equal(t, 303, a.post(c+"/diary", f).status)
	for _, path := range []string{c, c + "/diary"} {
		lacks(t, a.ok(path), "Fill in what is missing", path)
	}
}

// An entry that was saved empty or twice would bar running for fourteen days: taken
// back, it goes on counting.
func TestAnEntryIsNotMadeByMistakeAndCanBeEnteredAgain(t *testing.T) {
	a := newApp(t)
	c := a.fresh("Ann")
	empty := url.Values{"date": {"2026-06-01"}, "run": {"yes"}, "during": {"-1"}}
	got := a.post(c+"/diary", empty)
	require.Equal(t, 400, got.status)
	has(t, got.body, "Nothing is entered")
	lacks(t, a.ok(c+"/diary"), "already")
	first := run("2026-06-01", "1")
	first.Del("morning")
	first.Del("stiffness")
	require.Equal(t, 303, a.post(c+"/diary", first).status)
	has(t, a.ok(c+"/diary"), `There is an entry of this day already: <a href="`+c+`/diary?entry=2026-06-01-1">correct it</a>`)
	require.Equal(t, 303, a.post(c+"/diary/remove", url.Values{"entry": {"2026-06-01-1"}}).status)
	page := html.UnescapeString(a.ok(c + "/diary"))
	has(t, page, "enter it again")
	has(t, page, `<a href="`+c+`/diary?entry=2026-06-01-1">the entry of 1 June 2026</a>`)
	has(t, a.ok(c+"/diary?entry=2026-06-01-1"), `name="entry" value="2026-06-01-1"`)
	second := run("2026-05-31", "1")
	require.Equal(t, 303, a.post(c+"/diary", second).status)
	second.Del("minutes")
	require.Equal(t, 303, a.post(c+"/diary", second).status)
	has(t, html.UnescapeString(a.ok(c+"/diary")), ">entry 2 of 31 May 2026</a>")
}

func TestTheHelpPageSaysEachCautionOnce(t *testing.T) {
	page := newApp(t).ok("/help")
	for _, note := range report.CautionNotes() {
		require.Equal(t, 1, strings.Count(html.UnescapeString(page), note), note)
	}
	for _, w := range []diary.Word{diary.ClinicianFirst, diary.StepBack, diary.Hold, diary.WithinRules} {
		has(t, page, "<dt>Next run: "+w.String()+"</dt>")
	}
}

func TestAnUnansweredFieldIsNeverNoPain(t *testing.T) {
	a := newApp(t)
	c := a.fresh("Ann")
	f := url.Values{"date": {"2026-05-31"}, "run": {"yes"}, "during": {"-1"}, "after": {""}, "minutes": {"20"}}
	require.Equal(t, 303, a.post(c+"/diary", f).status)
	id := strings.TrimPrefix(c, "/cases/")
	log, err := a.server.cfg.Book.Diary(t.Context(), id)
	require.NoError(t, err)
	require.Equal(t, diary.Score{}, log.Entries[0].During)
	require.Equal(t, diary.Score{}, log.Entries[0].Morning)
	require.Equal(t, diary.Unanswered, log.Entries[0].Painkillers)
	require.Len(t, log.Entries[0].Checklist.Open(), len(diary.Symptoms))
}

func TestOneTickAnswersTheRestWithNoAndLeavesAYes(t *testing.T) {
	a := newApp(t)
	c := a.fresh("Ann")
	f := run("2026-05-31", "0")
	f.Set("swollen_calf", "yes")
	require.Equal(t, 303, a.post(c+"/diary", f).status)
	log, err := a.server.cfg.Book.Diary(t.Context(), strings.TrimPrefix(c, "/cases/"))
	require.NoError(t, err)
	require.Equal(t, diary.Yes, log.Entries[0].Checklist[diary.SwollenCalf])
	require.Equal(t, diary.No, log.Entries[0].Checklist[diary.DarkUrine])
}

func TestTheStartPageAsksForTheNextMorning(t *testing.T) {
	a := newApp(t)
	c := a.fresh("Ann")
	f := run("2026-06-01", "1")
	f.Set("stiffness", "-1")
	require.Equal(t, 400, a.post(c+"/diary", f).status, "the morning after has not come")
	f.Set("morning", "-1")
	require.Equal(t, 303, a.post(c+"/diary", f).status)
	lacks(t, a.ok("/"), "How was the leg", "not on the day itself")
	a.later(20 * time.Hour)
	page := html.UnescapeString(a.ok("/"))
	has(t, page, "How was the leg on the morning after the run of 1 June 2026?")
	has(t, page, c+"/diary?entry=2026-06-01-1")
	entry := a.ok(c + "/diary?entry=2026-06-01-1")
	has(t, entry, `name="entry" value="2026-06-01-1"`)
	f.Set("entry", "2026-06-01-1")
	f.Set("morning", "0")
	require.Equal(t, 303, a.post(c+"/diary", f).status)
	lacks(t, a.ok("/"), "How was the leg")
	log, err := a.server.cfg.Book.Diary(t.Context(), strings.TrimPrefix(c, "/cases/"))
	require.NoError(t, err)
	require.Len(t, log.Entries, 2, "both versions are kept")
	require.Len(t, diary.Current(log), 1)
}

func TestFormsSayWhatIsWrongAndKeepNothing(t *testing.T) {
	a := newApp(t)
	c := a.fresh("Ann")
	change := func(f url.Values, key, value string) url.Values { f.Set(key, value); return f }
	for name, p := range map[string]struct {
		path   string
		fields url.Values
	}{
		"pain off the scale":    {c + "/diary", change(run("2026-05-31", "0"), "during", "11")},
		"pain in words":         {c + "/diary", change(run("2026-05-31", "0"), "during", "lots")},
		"a day to come":         {c + "/diary", run("2026-06-09", "0")},
		"no day":                {c + "/diary", run("", "0")},
		"another day's entry":   {c + "/diary", change(run("2026-05-31", "0"), "entry", "2026-05-01-1")},
		"minutes below zero":    {c + "/diary", change(run("2026-05-31", "0"), "minutes", "-3")},
		"an answer that's none": {c + "/diary", change(run("2026-05-31", "0"), "slapping", "maybe")},
		"an exercise of none":   {c + "/exercise", url.Values{"date": {"2026-05-31"}, "drill": {"hop"}, "sets": {"3"}}},
		"no sets":               {c + "/exercise", url.Values{"date": {"2026-05-31"}, "drill": {"heel walk"}}},
		"a release by nobody":   {c + "/release", url.Values{"on": {"2026-05-31"}}},
		"an entry of none":      {c + "/diary/remove", url.Values{"entry": {"x"}}},
		"a rise off the rules":  {c + "/form", change(person(), "weekly_rise", "80")},
		"half a diagnosis":      {c + "/form", change(person(), "diagnosis", "strain")},
		"a name with a slash":   {c + "/form", change(person(), "name", "a/b")},
		"a name that is taken":  {"/cases", url.Values{"name": {"Ann"}, "injured": {"left"}}},
		"no side":               {"/cases", url.Values{"name": {"Bob"}}},
	} {
		got := a.post(p.path, p.fields)
		require.Equal(t, 400, got.status, "%s: %s", name, got.body)
		require.Contains(t, got.body, `class="problem"`, name)
	}
	require.Empty(t, a.lines())
	log, err := a.server.cfg.Book.Diary(t.Context(), strings.TrimPrefix(c, "/cases/"))
	require.NoError(t, err)
	require.Empty(t, log.Entries)
}

func TestExercisesAndAClinicianWordAreKept(t *testing.T) {
	a := newApp(t)
	c := a.fresh("Ann")
	require.Equal(t, 303, a.post(c+"/exercise", url.Values{"date": {"2026-05-31"}, "drill": {"heel walk"}, "sets": {"3"}, "metres": {"10"}, "pain": {"1"}}).status)
	require.Equal(t, 303, a.post(c+"/release", url.Values{"on": {"2026-05-31"}, "by": {"physiotherapist"}, "slap_known": {"yes"}}).status)
	page := a.ok(c + "/diary")
	has(t, page, "3 × 10 m")
	has(t, page, "physiotherapist: the slapping was examined")
}

func TestTheInventedCaseFillsEveryPage(t *testing.T) {
	if testing.Short() {
		t.Skip("ten recordings are simulated")
	}
	a := newApp(t)
	require.Equal(t, "/demo", a.post("/demo", nil).header.Get("Location"))
	has(t, a.ok("/demo"), "Making the invented case")
	for a.get("/demo").status != 303 {
		time.Sleep(100 * time.Millisecond)
	}
	c := a.get("/demo").header.Get("Location")
	has(t, a.ok(c), casebook.DemoName)
	require.Equal(t, c, a.post("/demo", nil).header.Get("Location"), "it is made once")
	has(t, a.ok(c+"/diary"), "Next run:")
	has(t, a.ok(c+"/compare"), "Two sessions side by side")
	has(t, a.ok(c+"/compare?by=shoe"), "blue, 4 mm")
	lacks(t, a.ok("/"), "Show the invented case")

	archive := a.ok(c + "/export")
	require.Equal(t, 400, a.post(c+"/delete", nil).status, "not without the tick")
	require.Equal(t, 303, a.post(c+"/delete", url.Values{"sure": {"yes"}}).status)
	require.Equal(t, 404, a.get(c).status)
	require.Empty(t, a.everyFile("web"))
	body := "--x\r\nContent-Disposition: form-data; name=\"archive\"; filename=\"a.zip\"\r\n\r\n" + archive + "\r\n--x--\r\n"
	r := a.request("POST", "/cases/import", strings.NewReader(body))
	r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	back := a.do(r)
	require.Equal(t, 303, back.status, back.body)
	has(t, a.ok(c), casebook.DemoName)
	r = a.request("POST", "/cases/import", strings.NewReader(body))
	r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
	again := a.do(r)
	require.Equal(t, 400, again.status)
	has(t, again.body, "To keep a second copy")
}

func TestASessionsFormIsCorrectedAndASessionDeleted(t *testing.T) {
	a := newApp(t)
	path := a.computed(newCase("Ann"), feet(60, 0.3, 1)...)
	f := url.Values{"date": {"2026-05-30"}, "shoe": {"grey"}, "pace": {"6:15"}, "note": {"windy"}}
	require.Equal(t, 303, a.post(path+"/form", f).status)
	page := a.ok(path)
	for _, want := range []string{`value="2026-05-30"`, `value="grey"`, `value="6:15"`, `value="windy"`} {
		has(t, page, want)
	}
	require.Equal(t, 400, a.post(path+"/form", url.Values{"date": {"2026-07-30"}}).status)
	require.Equal(t, 400, a.post(path+"/form", url.Values{"date": {"2026-05-30"}, "pace": {"fast"}}).status)
	require.Equal(t, 400, a.post(path+"/delete", nil).status)
	require.Equal(t, 303, a.post(path+"/delete", url.Values{"sure": {"yes"}}).status)
	require.Equal(t, 404, a.get(path).status)
	require.Empty(t, a.everyFile("web"), "nothing of it is left beside the casebook")
}

// Each address that routes lists is asked for once as it stands, once for a case
// and once for a session that are not there.
func TestEveryAddressAnswers(t *testing.T) {
	a := newApp(t)
	path := a.computed(newCase("Ann"), feet(60, 0.3, 1)...)
	id, session, err := a.ids(path)
	require.NoError(t, err)
	upload := a.taken(feet(30, 0.3, 20)...)
	for _, p := range []string{"/", "/help", "/settings", "/login", "/cases", upload, upload + "/state",
		"/cases/" + id, "/cases/" + id + "/form", "/cases/" + id + "/diary", "/cases/" + id + "/compare", "/cases/" + id + "/letter", "/cases/" + id + "/export",
		path, path + "/session.json", path + "/steps.csv", path + "/report.html", path + "/steps.json", path + "/steps", path + "/signal.json",
		"/static/app.css", "/static/report.css", "/static/mark.svg", "/static/steps.js"} {
		require.Equal(t, 200, a.get(p).status, p)
		missing := strings.NewReplacer(id, "c0", session, "2026-01-01-aaaaaa", strings.TrimPrefix(upload, "/upload/"), "0").Replace(p)
		if missing != p {
			require.Equal(t, 404, a.get(missing).status, missing)
		}
	}
}

// Each page of a case is marked in the case's menu as where the reader is.
func TestTheMenuOfACaseSaysWhereOneIs(t *testing.T) {
	a := newApp(t)
	c := a.fresh("Ann")
	for _, path := range []string{"", "/diary", "/compare", "/form"} {
		page := a.ok(c + path)
		has(t, page, `<a href="`+c+path+`" aria-current="page">`)
		require.Equal(t, 1, strings.Count(page, `aria-current="page"`), path)
	}
}
