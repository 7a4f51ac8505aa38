package casebook

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/estimate"
	"setdown/gait/recovery"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/report/page"
	"setdown/report/table"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// Analyze computes a session; the caller wires it to the front door.
type Analyze func(ctx context.Context, sources []recording.Source, injured asymmetry.Injured, how Reading) (*gait.Result, error)

// Analysis is a result as it is kept.
type Analysis struct {
	Method, Tool string
	// Settings names what the result depends on beside the recordings.
	Settings string
	// Hashes are the SHA-256 of the recordings that were analysed; empty where
	// the result does not know them.
	Hashes []string
	// Unused are the names of recordings that no number comes from.
	Unused  []string
	Summary recovery.Session
	Remarks []string
	Curves  *Curves
	// SessionJSON and StepsCSV are the files of the output contract, verbatim.
	SessionJSON, StepsCSV []byte
}

// Curves is the mean toe-down pitch rate of each side round initial contact, in
// deg/s rounded to 0.1, sampled as step.CurveStart and step.CurveStep say; empty
// where a side has none.
type Curves struct {
	Left  []float64 `json:"left"`
	Right []float64 `json:"right"`
}

// keptSummary is the summary column.
type keptSummary struct {
	Session recovery.Session `json:"session"`
	Remarks []string         `json:"remarks,omitempty"`
}

// Keep turns a result into what is kept of it.
func Keep(res *gait.Result) (Analysis, error) {
	a := Analysis{Method: res.Method, Tool: res.Version, Settings: fmt.Sprintf("seed %d", res.Seed)}
	var doc, steps bytes.Buffer
	if err := errors.Join(table.WriteSession(&doc, res), table.WriteSteps(&steps, res.Steps)); err != nil {
		return Analysis{}, err
	}
	a.SessionJSON, a.StepsCSV = doc.Bytes(), steps.Bytes()
	for _, in := range res.Inputs {
		for _, f := range in.Files {
			if f.SHA256 != "" && !slices.Contains(a.Hashes, f.SHA256) {
				a.Hashes = append(a.Hashes, f.SHA256)
			}
		}
	}
	for _, in := range res.Unused {
		a.Unused = append(a.Unused, in.Name)
	}
	for _, r := range res.Remarks {
		text := r.String()
		if r.Level == remark.Doubt {
			text = page.DoubtMark + text
		}
		a.Remarks = append(a.Remarks, text)
	}
	a.Summary, a.Curves = summaryOf(res), curvesOf(res)
	return a, nil
}

// summaryOf takes from a result what a follow-up needs.
func summaryOf(res *gait.Result) recovery.Session {
	s := recovery.Session{Method: res.Method, Gait: res.Session.Gait.String(), StepRate: recovery.ValueOf(res.Session.Cadence),
		Measures: map[string]recovery.Measure{}}
	if l := res.Session.Left; l != nil {
		s.UsedLeft = l.Used
	}
	if r := res.Session.Right; r != nil {
		s.UsedRight = r.Used
	}
	for _, m := range step.Catalogue() {
		s.Measures[m.Key] = measureOf(res, m.Key)
	}
	return s
}

func measureOf(res *gait.Result, key string) recovery.Measure {
	value := func(side *session.Side) recovery.Value { return recovery.ValueOf(side.Get(key).Estimate) }
	m := recovery.Measure{Left: value(res.Session.Left), Right: value(res.Session.Right), Difference: recovery.ValueOf(estimate.None(0))}
	if c, ok := res.Asymmetry.Get(key); ok {
		d := c.Difference
		if c.First == recording.Right {
			d.Center, d.Low, d.High = -d.Center, -d.High, -d.Low
		}
		m.Difference = recovery.ValueOf(d)
	}
	return m
}

// curvesOf averages the kept curves of each side's used steps; nil where no
// curve was kept.
func curvesOf(res *gait.Result) *Curves {
	c := &Curves{meanCurve(res.Steps, recording.Left), meanCurve(res.Steps, recording.Right)}
	if c.Left == nil && c.Right == nil {
		return nil
	}
	return c
}

func meanCurve(steps []step.Step, side recording.Side) []float64 {
	var sum []float64
	n := 0
	for i := range steps {
		s := &steps[i]
		if s.Side != side || !s.Used || s.HeelFirst != step.True || len(s.Curve) != step.CurveLen {
			continue
		}
		if sum == nil {
			sum = make([]float64, step.CurveLen)
		}
		for k, v := range s.Curve {
			sum[k] += float64(v)
		}
		n++
	}
	for k := range sum {
		sum[k] = math.Round(sum[k]/float64(n)*180/math.Pi*10) / 10
	}
	return sum
}

func insertAnalysis(ctx context.Context, tx *sql.Tx, row int64, a Analysis, now time.Time) error {
	summary, err := json.Marshal(keptSummary{a.Summary, a.Remarks})
	if err != nil {
		return err
	}
	curves := ""
	if a.Curves != nil {
		text, err := json.Marshal(a.Curves)
		if err != nil {
			return err
		}
		curves = string(text)
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO analyses (session, method, tool, settings, added, summary, session_json, steps, curves)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (session, method, settings) DO UPDATE SET tool = excluded.tool, added = excluded.added, summary = excluded.summary,
			session_json = excluded.session_json, steps = excluded.steps, curves = excluded.curves`,
		row, a.Method, a.Tool, a.Settings, now.UTC().Format(timeForm), string(summary), packBytes(a.SessionJSON), packBytes(a.StepsCSV), curves)
	return err
}

// timeForm sorts as text.
const timeForm = "2006-01-02T15:04:05.000000000Z"

// AddAnalysis keeps a further analysis of a session. One of another method or
// other settings is kept apart; one of the same replaces it.
func (b *Book) AddAnalysis(ctx context.Context, caseID, id string, a Analysis, now time.Time) error {
	return b.change(ctx, func(tx *sql.Tx) error {
		row, err := sessionRow(ctx, tx, caseID, id)
		if err != nil {
			return err
		}
		return insertAnalysis(ctx, tx, row, a, now)
	})
}

func sessionRow(ctx context.Context, q querier, caseID, id string) (int64, error) {
	var row int64
	err := q.QueryRowContext(ctx, "SELECT row FROM sessions WHERE case_id = ? AND id = ?", caseID, id).Scan(&row)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, fmt.Errorf("%s: %w", id, ErrNoSession)
	}
	return row, plain(err)
}

// maxKept bounds session.json and steps.csv when they are read back, in bytes.
const maxKept = 256 << 20

// Outputs returns session.json and steps.csv of the newest analysis, verbatim.
func (b *Book) Outputs(ctx context.Context, caseID, id string) (sessionJSON, stepsCSV []byte, err error) {
	row, err := sessionRow(ctx, b.db, caseID, id)
	if err != nil {
		return nil, nil, err
	}
	var doc, steps []byte
	err = b.db.QueryRowContext(ctx, "SELECT session_json, steps FROM analyses WHERE session = ? ORDER BY added DESC, method DESC LIMIT 1", row).Scan(&doc, &steps)
	if err != nil {
		return nil, nil, plain(err)
	}
	sessionJSON, err1 := unpack(doc, maxKept)
	stepsCSV, err2 := unpack(steps, maxKept)
	return sessionJSON, stepsCSV, errors.Join(err1, err2)
}

// TimedSteps reads one metric of one side from a steps.csv, with the time of
// initial contact, for CompareBlocks. Steps that are not used are left out.
// Values are in the units of the file.
func TimedSteps(stepsCSV []byte, side recording.Side, key string) ([]recovery.Timed, error) {
	rows, err := csv.NewReader(bytes.NewReader(stepsCSV)).ReadAll()
	if err != nil || len(rows) == 0 {
		return nil, fmt.Errorf("steps.csv: %w", errors.Join(err, errEmpty(rows)))
	}
	col := map[string]int{}
	for i, name := range rows[0] {
		col[name] = i
	}
	for _, need := range []string{"side", "used", "initial_contact_s", key} {
		if _, ok := col[need]; !ok {
			return nil, fmt.Errorf("steps.csv has no column %q", need)
		}
	}
	var out []recovery.Timed
	for _, r := range rows[1:] {
		if r[col["side"]] != side.String() || r[col["used"]] != "true" || r[col[key]] == "" {
			continue
		}
		t, err1 := strconv.ParseFloat(r[col["initial_contact_s"]], 64)
		v, err2 := strconv.ParseFloat(r[col[key]], 64)
		if err := errors.Join(err1, err2); err != nil {
			return nil, fmt.Errorf("steps.csv: %w", err)
		}
		out = append(out, recovery.Timed{Time: t, Value: v})
	}
	return out, nil
}

func errEmpty(rows [][]string) error {
	if len(rows) == 0 {
		return errors.New("is empty")
	}
	return nil
}

// Recompute analyses again every session of a case that has no analysis by
// method, and keeps the old ones beside the new. It returns the IDs of the
// sessions that were computed. A session that fails is an error in errs; the
// others go on.
func (b *Book) Recompute(ctx context.Context, caseID, method string, analyze Analyze, now time.Time) (done []string, errs []error, err error) {
	c, err := caseByID(ctx, b.db, caseID)
	if err != nil {
		return nil, nil, err
	}
	sessions, err := b.Sessions(ctx, caseID)
	if err != nil {
		return nil, nil, err
	}
	for _, s := range sessions {
		if slices.Contains(s.Methods, method) {
			continue
		}
		if err := ctx.Err(); err != nil {
			return done, errs, err
		}
		if err := b.recomputeOne(ctx, c, s, analyze, now); err != nil {
			errs = append(errs, fmt.Errorf("session %s: %w", s.ID, err))
			continue
		}
		done = append(done, s.ID)
	}
	return done, errs, nil
}

func (b *Book) recomputeOne(ctx context.Context, c Case, s Session, analyze Analyze, now time.Time) error {
	sources, err := b.Recordings(ctx, c.ID, s.ID)
	if err != nil {
		return err
	}
	res, err := analyze(ctx, sources, c.Injured.Side(), s.Form.Reading)
	if err != nil {
		return err
	}
	a, err := Keep(res)
	if err != nil {
		return err
	}
	return b.AddAnalysis(ctx, c.ID, s.ID, a, now)
}
