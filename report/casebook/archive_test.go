package casebook

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/diary"
)

// full makes a case with everything in it.
func full(t *testing.T, b *Book) Case {
	t.Helper()
	c := newCase(t, b, "fox")
	id := add(t, b, c, 1, 9)
	add(t, b, c, 2, 5)
	require.NoError(t, b.AddAnalysis(t.Context(), c.ID, id, analysis("2"), now.Add(5)))
	require.NoError(t, b.ChangeSession(t.Context(), c.ID, id, now, func(f *SessionForm) error { f.Note = "=1+1"; return nil }))
	day := diary.DateOf(now)
	for v := range 3 {
		require.NoError(t, b.ChangeEntry(t.Context(), c.ID, EntryID(day, 1), day, now, func(e *diary.Entry) error {
			s, err := diary.Scored(v)
			e.Run, e.During, e.Note = true, s, "a, \"quoted\"\nnote"
			e.Checklist[diary.SwollenCalf] = diary.Yes
			return err
		}))
	}
	require.NoError(t, b.AddRelease(t.Context(), c.ID, diary.Release{On: day, By: "physician"}, now))
	_, err := b.AddExercise(t.Context(), c.ID, diary.Exercise{Date: day, Sets: 3, Metres: 10}, now)
	require.NoError(t, err)
	require.NoError(t, b.ChangeCase(t.Context(), c.ID, now, func(c *Case) error { c.Remarks = "second"; return nil }))
	return c
}

func export(t *testing.T, b *Book, c Case) []byte {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, b.Export(t.Context(), c.ID, &out, now))
	return out.Bytes()
}

func TestExportAndImportLoseNothing(t *testing.T) {
	b := newBook(t)
	newCase(t, b, "someone before, so that places in the log differ")
	c := full(t, b)
	first := export(t, b, c)
	require.Equal(t, first, export(t, b, c), "the same bytes again")

	other := newBook(t)
	got, err := other.Import(t.Context(), bytes.NewReader(first), int64(len(first)), "", now)
	require.NoError(t, err)
	require.Equal(t, c.ID, got.ID)
	require.Equal(t, first, export(t, other, got), "what comes back exports to the same bytes")

	_, err = other.Import(t.Context(), bytes.NewReader(first), int64(len(first)), "", now)
	require.ErrorIs(t, err, ErrNameTaken, "the same case twice")
	copied, err := other.Import(t.Context(), bytes.NewReader(first), int64(len(first)), "another name", now)
	require.NoError(t, err, "a second copy under another name")
	require.NotEqual(t, c.ID, copied.ID)
	was, err := other.Sessions(t.Context(), c.ID)
	require.NoError(t, err)
	is, err := other.Sessions(t.Context(), copied.ID)
	require.NoError(t, err)
	require.Len(t, is, len(was))
	require.NoError(t, other.Delete(t.Context(), copied.ID))
	require.Equal(t, first, export(t, other, got), "deleting the copy leaves the case as it was")
	third := newBook(t)
	_, err = third.NewCase(t.Context(), Case{Name: "fox"}, now.Add(1))
	require.NoError(t, err)
	_, err = third.Import(t.Context(), bytes.NewReader(first), int64(len(first)), "", now)
	require.ErrorIs(t, err, ErrNameTaken, "another case has the name")
	got, err = third.Import(t.Context(), bytes.NewReader(first), int64(len(first)), "fox 2", now)
	require.NoError(t, err)
	found, err := third.Find(t.Context(), "fox 2")
	require.NoError(t, err)
	require.Equal(t, got, found)
}

// Data Package 2.0 (datapackage.org): resources is required, each with a unique
// name and a path; Table Schema 2.0: fields have unique names, and the file's
// header matches them exactly.
func TestArchiveIsADataPackage(t *testing.T) {
	b := newBook(t)
	data := export(t, b, full(t, b))
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	read := func(name string) []byte {
		f, err := z.Open(name)
		require.NoError(t, err, name)
		out, err := io.ReadAll(f)
		require.NoError(t, err)
		return out
	}
	var p dataPackage
	require.NoError(t, json.Unmarshal(read(packageName), &p))
	names := map[string]bool{}
	for _, r := range p.Resources {
		require.False(t, names[r.Name], "%s twice", r.Name)
		names[r.Name] = true
		body := read(r.Path)
		if r.Schema == nil {
			continue
		}
		rows, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
		require.NoError(t, err)
		require.Len(t, rows[0], len(r.Schema.Fields))
		for i, f := range r.Schema.Fields {
			require.Equal(t, f.Name, rows[0][i])
		}
		require.Greater(t, len(rows), 1)
		for _, row := range rows[1:] {
			for i, cell := range row {
				if r.Schema.Fields[i].Type == "string" && cell != "" {
					require.NotContains(t, "=+-@", cell[:1], "a spreadsheet would run %q", cell)
				}
			}
		}
	}
	require.Len(t, p.Resources, len(z.File)-1, "all files are described but the description")
	require.Equal(t, noise(2, 2000), read("recordings/2026-05-22-"+sessions(t, b, must(b.Find(t.Context(), "fox")))[0].ID[11:]+"/1-run-001-left.csv"))
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func TestDamagedArchivesAddNothing(t *testing.T) {
	b := newBook(t)
	whole := export(t, b, full(t, b))
	rewrite := func(change func(name string, body []byte) []byte) []byte {
		z, err := zip.NewReader(bytes.NewReader(whole), int64(len(whole)))
		require.NoError(t, err)
		var out bytes.Buffer
		w := zip.NewWriter(&out)
		for _, f := range z.File {
			r, err := f.Open()
			require.NoError(t, err)
			body, err := io.ReadAll(r)
			require.NoError(t, err)
			if body = change(f.Name, body); body == nil {
				continue
			}
			m, err := w.Create(f.Name)
			require.NoError(t, err)
			_, err = m.Write(body)
			require.NoError(t, err)
		}
		require.NoError(t, w.Close())
		return out.Bytes()
	}
	inLog := func(from, to string) []byte {
		return rewrite(func(n string, body []byte) []byte {
			if n != logName {
				return body
			}
			require.Contains(t, string(body), from)
			return bytes.ReplaceAll(body, []byte(from), []byte(to))
		})
	}
	for name, data := range map[string][]byte{
		"an answer that is none":  inLog(`"painkillers": "`, `"painkillers": "perhaps `),
		"rules beyond the bounds": inLog(`"limit": 2`, `"limit": 9`),
		"another case's log":      inLog(`"name": "`, `"name": "x`),
		"a kind nobody reads":     inLog(`"kind": "diary"`, `"kind": "dairy"`),
		"a session without a day": inLog(`"kind": "session"`, `"kind": "release"`),
		"a score as a word":       inLog(`"pain_during": `, `"pain_during": "2", "pain_was": `),
		"no archive":              []byte("no"),
		"cut":                     whole[:len(whole)/2],
		"a recording changed": rewrite(func(n string, body []byte) []byte {
			if strings.HasPrefix(n, "recordings/") {
				body[0]++
			}
			return body
		}),
		"a recording missing": rewrite(func(n string, body []byte) []byte {
			if strings.HasPrefix(n, "recordings/") {
				return nil
			}
			return body
		}),
		"no log": rewrite(func(n string, body []byte) []byte {
			if n == logName {
				return nil
			}
			return body
		}),
		"another form": rewrite(func(n string, body []byte) []byte { return bytes.ReplaceAll(body, []byte(archiveForm), []byte("x/9")) }),
		"a form that is no form": rewrite(func(n string, body []byte) []byte {
			if n == logName {
				return bytes.ReplaceAll(body, []byte(`"injured": "left"`), []byte(`"injured": 7`))
			}
			return body
		}),
	} {
		empty := newBook(t)
		_, err := empty.Import(t.Context(), bytes.NewReader(data), int64(len(data)), "", now)
		require.Error(t, err, name)
		cases, err := empty.Cases(t.Context())
		require.NoError(t, err)
		require.Empty(t, cases, name)
	}
}

func FuzzImport(f *testing.F) {
	f.Add([]byte("PK"))
	f.Fuzz(func(t *testing.T, data []byte) {
		b := newBook(t)
		_, _ = b.Import(t.Context(), bytes.NewReader(data), int64(len(data)), "", now)
		require.NoError(t, b.Check(t.Context()))
	})
}
