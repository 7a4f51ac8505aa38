package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/report/casebook"
	"setdown/signal/recording"
)

// What the command line uses too, so that the same recordings give the same
// numbers here and there.
const (
	seed = 1
	// curves a side and s of raw signal that are kept for the pictures.
	curves  = 400
	excerpt = 4
)

// Analyze is the front door as the command line uses it: the same settings, so
// the same numbers.
func Analyze(version string) casebook.Analyze {
	return func(ctx context.Context, sources []recording.Source, injured asymmetry.Injured, how casebook.Reading) (*gait.Result, error) {
		return analyzeTapped(ctx, version, sources, injured, how, nil)
	}
}

// analyzeTapped is Analyze with a tap on the samples as they pass; nil has none.
func analyzeTapped(ctx context.Context, version string, sources []recording.Source, injured asymmetry.Injured, how casebook.Reading, tap *tap) (*gait.Result, error) {
	set, err := how.Open(ctx, sources)
	if err != nil {
		return nil, err
	}
	if tap != nil {
		for i := range set.Tracks {
			set.Tracks[i] = tap.on(set.Tracks[i])
		}
	}
	return gait.Analyze(ctx, set, gait.Settings{Version: version, Injured: injured, Seed: seed, Curves: curves, Excerpt: excerpt, OneSensor: how.OneSensor})
}

// plan is what was filled in about a session before it is computed.
type plan struct {
	caseID string
	fresh  *casebook.Case // a case to be made
	form   casebook.SessionForm
}

// intakeCompute starts the computation.
func (s *Server) intakeCompute(w http.ResponseWriter, r *http.Request) error {
	in, err := s.intakes.get(r.PathValue("id"))
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return formError(err)
	}
	p, err := s.planOf(r)
	if err == nil {
		err = s.computeLater(in, r, p)
	}
	if err != nil {
		return s.complain(w, r, in, err)
	}
	return s.next(w, r, "/upload/"+in.id)
}

// computeLater puts the computation into the queue.
func (s *Server) computeLater(in *intake, r *http.Request, p plan) error {
	in.mu.Lock()
	defer in.mu.Unlock()
	// What was corrected in the same form counts, also without reading again.
	if err := in.correct(r); err != nil {
		return err
	}
	if in.seen == nil {
		return bad("these files cannot be worked on yet: see what stands beside them")
	}
	if err := in.sure(r.PostFormValue("as_given")); err != nil {
		return err
	}
	p.form.Reading, p.form.Start = in.how, in.seen.Start
	work := s.queue.add(func(ctx context.Context) { s.computeNow(ctx, in, p) })
	in.begin(phaseComputing, work, 2.05) // read once for the numbers, once to be kept
	return nil
}

// planOf reads the form of the input check.
func (s *Server) planOf(r *http.Request) (plan, error) {
	var p plan
	f := form{r: r}
	p.form = sessionForm(&f, casebook.SessionForm{})
	p.form.Zone = s.cfg.Now().Location().String()
	if f.err != nil {
		return p, f.err
	}
	if p.form.Date.After(diary.DateOf(s.cfg.Now())) {
		return p, bad("the day of the run, %s, lies after today", p.form.Date)
	}
	p.caseID = r.PostFormValue("case")
	if p.caseID != "" && p.caseID != "new" {
		c, err := s.cfg.Book.Find(r.Context(), p.caseID)
		if err == nil && !c.Closed.IsZero() {
			err = bad("the case %s is closed; open it again under “Letter” on its review page", c.Name)
		}
		return p, err
	}
	if p.caseID == "" && r.PostForm.Has("case") {
		return p, bad("say whose run this is: choose the case, or someone new")
	}
	p.caseID = ""
	injured, err := casebook.ParseInjured(r.PostFormValue("injured"))
	if err != nil {
		return p, bad("say which side is injured: it is asked once for each person")
	}
	name := strings.TrimSpace(r.PostFormValue("name"))
	if name == "" {
		name = "My runs"
	}
	if _, err := s.cfg.Book.Find(r.Context(), name); err == nil {
		return p, fmt.Errorf("%q: %w; choose it in the list or take another name", name, casebook.ErrNameTaken)
	}
	p.fresh = &casebook.Case{Name: name, Injured: casebook.Injured(injured.String()), Zone: s.cfg.Now().Location().String()}
	return p, nil
}

// computeNow analyses an upload and keeps it as a session, whole or not at all.
func (s *Server) computeNow(ctx context.Context, in *intake, p plan) {
	defer in.rescue(phaseCheck)
	to, err := s.compute(ctx, in, p)
	in.mu.Lock()
	defer in.mu.Unlock()
	if err != nil {
		in.phase = phaseCheck
		if ctx.Err() == nil {
			in.blame(err)
		}
		return
	}
	in.phase, in.done = phaseDone, to
	_ = s.cfg.Folder.RemoveAll(in.dir()) // cleared at the next start at the latest
}

func (s *Server) compute(ctx context.Context, in *intake, p plan) (to string, err error) {
	injured := asymmetry.InjuredUnknown
	if p.fresh != nil {
		injured = p.fresh.Injured.Side()
	} else {
		c, err := s.cfg.Book.Find(ctx, p.caseID)
		if err != nil {
			return "", err
		}
		injured = c.Injured.Side()
	}
	tap := newTap(s.cfg.Folder, in.dir())
	defer func() { err = errors.Join(err, tap.close()) }()
	res, err := analyzeTapped(ctx, s.cfg.Version, in.sources(), injured, p.form.Reading, tap)
	if err != nil {
		return "", err
	}
	caseID, sessionID, err := s.keepSession(ctx, in.sources(), p, res)
	if err != nil {
		return "", err
	}
	key := keyOf(caseID, sessionID)
	// From here on the session is kept; what follows only saves time later.
	if err := errors.Join(tap.close(), s.results.put(key, res), tap.moveTo(key)); err != nil {
		s.cfg.Log("the result was kept, but not made ready for the pages: " + err.Error())
	}
	return sessionPath(caseID, sessionID) + "?new=1", nil
}

// keepSession adds the session, and before it the case where it is a new one,
// which is taken back if the session cannot be kept.
func (s *Server) keepSession(ctx context.Context, sources []recording.Source, p plan, res *gait.Result) (caseID, sessionID string, err error) {
	a, err := casebook.Keep(res)
	if err != nil {
		return "", "", err
	}
	caseID = p.caseID
	if p.fresh != nil {
		c, err := s.cfg.Book.NewCase(ctx, *p.fresh, s.cfg.Now())
		if err != nil {
			return "", "", err
		}
		caseID = c.ID
	}
	sessionID, err = s.cfg.Book.AddSession(ctx, caseID, p.form, sources, a, s.cfg.Now())
	if err != nil && p.fresh != nil {
		err = errors.Join(err, s.cfg.Book.Delete(context.WithoutCancel(ctx), caseID))
	}
	var twice *casebook.DuplicateError
	if errors.As(err, &twice) {
		err = &badForm{fmt.Sprintf("These recordings, or one of them, are kept already, as the session %s; nothing was added. Where a foot is missing there, or its day or the feet were given wrongly, delete that session at the end of its page and send all files again.", twice.Session),
			&link{sessionPath(caseID, twice.Session), "Open that session"}}
	}
	return caseID, sessionID, err
}

func sessionPath(caseID, id string) string { return "/cases/" + caseID + "/sessions/" + id }

// sessionForm reads what is written down about a session.
func sessionForm(f *form, old casebook.SessionForm) casebook.SessionForm {
	c := recovery.Conditions{Shoe: f.text("shoe"), DropMM: f.number("drop_mm"), Insole: f.text("insole"), Tape: f.text("tape"),
		Surface: f.text("surface"), SlopePercent: f.number("slope_percent"), Direction: f.text("direction"), SpeedMPS: f.pace("pace"),
		Treadmill: f.answer("treadmill"), MinutesIntoRun: f.number("minutes_into_run"), Intervals: f.text("intervals"),
		Placement: f.text("placement"), Refitted: f.answer("refitted"), SensorsSwapped: f.answer("sensors_swapped"), StepRateHint: f.number("step_rate_asked")}
	old.Conditions, old.Note, old.Blocks = c, f.text("note"), f.blocks("blocks")
	if d := f.date("date"); !d.IsZero() {
		old.Date = d
	}
	if old.Date.IsZero() && f.err == nil {
		f.err = bad("the day of the run is needed")
	}
	if err := old.Check(); err != nil {
		f.fail("%v", err)
	}
	return old
}
