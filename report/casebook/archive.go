package casebook

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"path"
	"strings"
	"time"
)

// archiveForm names the form of the archive; it changes when an older program
// could misread it.
const archiveForm = "setdown-case/1"

// The names of an archive's files. Everything needed to import is in manifestName,
// logName and the recordings; the tables are the same once more, to be read
// without setdown.
const (
	manifestName = "case.json"
	logName      = "log.json"
	packageName  = "datapackage.json"
)

// manifest is case.json.
type manifest struct {
	Form     string            `json:"form"`
	Case     Case              `json:"case"`
	Sessions []manifestSession `json:"sessions"`
}

type manifestSession struct {
	ID          string             `json:"id"`
	Fingerprint string             `json:"fingerprint"`
	Recordings  []manifestFile     `json:"recordings"`
	Analyses    []manifestAnalysis `json:"analyses"`
}

type manifestFile struct {
	FileInfo
	Path string `json:"path"`
}

type manifestAnalysis struct {
	Method      string `json:"method"`
	Tool        string `json:"tool"`
	Settings    string `json:"settings"`
	Added       string `json:"added"`
	Summary     string `json:"summary"`
	SessionJSON string `json:"session_json"`
	Steps       string `json:"steps"`
	// Curves is empty where none were kept.
	Curves string `json:"curves,omitempty"`
}

// exporter writes one archive.
type exporter struct {
	zip   *zip.Writer
	at    time.Time
	names []string
}

// Export writes a whole case as a zip archive of plain CSV and JSON with its
// recordings as they were given, described by datapackage.json (Data Package
// 2.0). now is written as the time of making. The same case and time give the
// same bytes. Import reads it back without loss.
func (b *Book) Export(ctx context.Context, caseID string, w io.Writer, now time.Time) error {
	c, err := caseByID(ctx, b.db, caseID)
	if err != nil {
		return err
	}
	e := &exporter{zip: zip.NewWriter(w), at: now.UTC()}
	if err := b.exportAll(ctx, e, c); err != nil {
		return err
	}
	return e.zip.Close()
}

func (b *Book) exportAll(ctx context.Context, e *exporter, c Case) error {
	m := manifest{Form: archiveForm, Case: c, Sessions: []manifestSession{}}
	rows, err := sessionRows(ctx, b.db, c.ID)
	if err != nil {
		return err
	}
	for _, s := range rows {
		ms, err := b.exportSession(ctx, e, c.ID, s)
		if err != nil {
			return fmt.Errorf("session %s: %w", s.ID, err)
		}
		m.Sessions = append(m.Sessions, ms)
	}
	log, err := b.History(ctx, c.ID)
	if err != nil {
		return err
	}
	for i := range log {
		log[i].Seq = int64(i + 1)
	}
	if err := e.json(manifestName, m); err != nil {
		return err
	}
	if err := e.json(logName, log); err != nil {
		return err
	}
	return b.exportTables(ctx, e, c)
}

// exportSession writes the recordings and analyses of a session.
func (b *Book) exportSession(ctx context.Context, e *exporter, caseID string, s Session) (manifestSession, error) {
	ms := manifestSession{ID: s.ID, Recordings: []manifestFile{}, Analyses: []manifestAnalysis{}}
	err := b.db.QueryRowContext(ctx, "SELECT fingerprint FROM sessions WHERE row = ?", s.row).Scan(&ms.Fingerprint)
	if err != nil {
		return ms, plain(err)
	}
	sources, err := b.Recordings(ctx, caseID, s.ID)
	if err != nil {
		return ms, err
	}
	infos, err := b.filesOf(ctx, s.row)
	if err != nil {
		return ms, err
	}
	for i, src := range sources {
		f := manifestFile{infos[i], fmt.Sprintf("recordings/%s/%d-%s", s.ID, i+1, plainName(src.Name))}
		if err := e.copy(f.Path, src.Open); err != nil {
			return ms, err
		}
		ms.Recordings = append(ms.Recordings, f)
	}
	ms.Analyses, err = b.exportAnalyses(ctx, e, s)
	return ms, err
}

func (b *Book) filesOf(ctx context.Context, row int64) ([]FileInfo, error) {
	rows, err := b.db.QueryContext(ctx, "SELECT name, side, sha256, bytes FROM recordings WHERE session = ? ORDER BY ord", row)
	if err != nil {
		return nil, plain(err)
	}
	defer rows.Close()
	var out []FileInfo
	for rows.Next() {
		var f FileInfo
		if err := rows.Scan(&f.Name, &f.Side, &f.SHA256, &f.Bytes); err != nil {
			return nil, plain(err)
		}
		out = append(out, f)
	}
	return out, plain(rows.Err())
}

// exportAnalyses writes the analyses of a session, the earliest first.
func (b *Book) exportAnalyses(ctx context.Context, e *exporter, s Session) ([]manifestAnalysis, error) {
	rows, err := b.db.QueryContext(ctx, `SELECT method, tool, settings, added, summary, session_json, steps, curves
		FROM analyses WHERE session = ? ORDER BY added, method, settings`, s.row)
	if err != nil {
		return nil, plain(err)
	}
	defer rows.Close()
	out := []manifestAnalysis{}
	for rows.Next() {
		var a analysisRow
		if err := rows.Scan(&a.Method, &a.Tool, &a.Settings, &a.Added, &a.summary, &a.doc, &a.steps, &a.curves); err != nil {
			return nil, plain(err)
		}
		if err := a.export(e, fmt.Sprintf("sessions/%s/%d", s.ID, len(out)+1)); err != nil {
			return nil, err
		}
		out = append(out, a.manifestAnalysis)
	}
	return out, plain(rows.Err())
}

// analysisRow is an analysis as the casebook holds it; doc and steps are packed.
type analysisRow struct {
	manifestAnalysis
	summary, curves string
	doc, steps      []byte
}

// export writes the analysis as plain files below dir and notes their names.
func (a *analysisRow) export(e *exporter, dir string) error {
	a.Summary, a.SessionJSON, a.Steps = dir+"/summary.json", dir+"/session.json", dir+"/steps.csv"
	if err := e.bytes(a.Summary, []byte(a.summary)); err != nil {
		return err
	}
	if a.curves != "" {
		a.Curves = dir + "/curves.json"
		if err := e.bytes(a.Curves, []byte(a.curves)); err != nil {
			return err
		}
	}
	for _, f := range []struct {
		name string
		data []byte
	}{{a.SessionJSON, a.doc}, {a.Steps, a.steps}} {
		whole, err := unpack(f.data, maxKept)
		if err != nil {
			return err
		}
		if err := e.bytes(f.name, whole); err != nil {
			return err
		}
	}
	return nil
}

// plainName makes a file name harmless as part of a path in an archive.
func plainName(name string) string {
	name = strings.Map(func(r rune) rune {
		switch {
		case r < ' ', strings.ContainsRune(`/\:*?"<>|`, r):
			return '_'
		}
		return r
	}, path.Base(name))
	if name == "" || strings.Trim(name, ".") == "" {
		return "recording"
	}
	return name
}

func (e *exporter) create(name string) (io.Writer, error) {
	e.names = append(e.names, name)
	return e.zip.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: e.at})
}

func (e *exporter) bytes(name string, data []byte) error {
	w, err := e.create(name)
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	return err
}

func (e *exporter) copy(name string, open func() (io.ReadCloser, error)) error {
	r, err := open()
	if err != nil {
		return err
	}
	defer r.Close()
	w, err := e.create(name)
	if err != nil {
		return err
	}
	_, err = io.Copy(w, r)
	return err
}

func (e *exporter) json(name string, v any) error {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return err
	}
	return e.bytes(name, b.Bytes())
}
