package casebook

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"strconv"
	"time"

	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/gait/step"
	"setdown/report/table"
)

// field is a field of a Table Schema 2.0 (datapackage.org).
type field struct {
	Name        string `json:"name"`
	Type        string `json:"type"`
	Description string `json:"description,omitempty"`
}

// resource is a resource of a Data Package 2.0 (datapackage.org).
type resource struct {
	Name      string  `json:"name"`
	Path      string  `json:"path"`
	Format    string  `json:"format,omitempty"`
	MediaType string  `json:"mediatype,omitempty"`
	Encoding  string  `json:"encoding,omitempty"`
	Schema    *schema `json:"schema,omitempty"`
}

type schema struct {
	Fields        []field  `json:"fields"`
	MissingValues []string `json:"missingValues"`
}

type dataPackage struct {
	Schema      string     `json:"$schema"`
	Name        string     `json:"name"`
	Description string     `json:"description"`
	Created     string     `json:"created"`
	Resources   []resource `json:"resources"`
}

// dataTable is a CSV file with its fields.
type dataTable struct {
	name   string
	fields []field
	rows   [][]string
}

// exportTables writes the readable tables and datapackage.json.
func (b *Book) exportTables(ctx context.Context, e *exporter, c Case) error {
	log, err := b.Diary(ctx, c.ID)
	if err != nil {
		return err
	}
	sessions, err := b.Sessions(ctx, c.ID)
	if err != nil {
		return err
	}
	tables := []dataTable{diaryTable(log), exerciseTable(log), sessionTable(sessions)}
	p := dataPackage{Schema: "https://datapackage.org/profiles/2.0/datapackage.json", Name: "setdown-case-" + c.ID,
		Description: "One case: form, log, diary, strengthening, sessions and recordings. Not a medical device and no diagnosis.",
		Created:     e.at.Format(time.RFC3339)}
	described := map[string]*schema{}
	for _, t := range tables {
		if err := e.table(t); err != nil {
			return err
		}
		described[t.name] = &schema{t.fields, []string{""}}
	}
	for i, name := range e.names {
		p.Resources = append(p.Resources, resourceOf(i, name, described[name]))
	}
	return e.json(packageName, p)
}

func resourceOf(i int, name string, s *schema) resource {
	r := resource{Name: fmt.Sprintf("file-%03d", i+1), Path: name, Schema: s}
	switch ext := name[max(0, len(name)-4):]; {
	case s != nil:
		r.Format, r.MediaType, r.Encoding = "csv", "text/csv", "utf-8"
	case ext == "json":
		r.Format, r.MediaType, r.Encoding = "json", "application/json", "utf-8"
	}
	return r
}

func (e *exporter) table(t dataTable) error {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true // RFC 4180 §2
	head := make([]string, len(t.fields))
	for i, f := range t.fields {
		head[i] = f.Name
	}
	rows := append([][]string{head}, t.rows...)
	for _, row := range rows {
		for i := range row {
			if t.fields[i].Type == "string" {
				row[i] = table.Guard(row[i])
			}
		}
	}
	if err := w.WriteAll(rows); err != nil {
		return err
	}
	return e.bytes(t.name, b.Bytes())
}

func scoreCell(s diary.Score) string {
	if v, ok := s.Value(); ok {
		return strconv.Itoa(v)
	}
	return ""
}

// amountCell prints x, "" for 0.
func amountCell(x float64) string {
	if x == 0 {
		return ""
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

func diaryTable(log diary.Log) dataTable {
	t := dataTable{name: "diary.csv", fields: []field{
		{"entry", "string", "identifier of the entry"}, {"date", "date", "day of the run"}, {"run", "boolean", "a run, or a day without one"},
		{"pain_during", "integer", "0 to 10"}, {"pain_after", "integer", "just after, 0 to 10"}, {"pain_next_morning", "integer", "0 to 10"},
		{"stiffness_next_morning", "integer", "0 to 10"}, {"painkillers", "string", "yes or no"}, {"slapping", "string", "yes or no"},
		{"front_of_ankle", "string", "pain across the front of the ankle"}, {"tender_spot", "string", "yes or no"}, {"loosened_laces", "string", "yes or no"},
		{"minutes", "number", "running done"}, {"kilometres", "number", "running done"}, {"plan", "string", ""}, {"note", "string", ""}}}
	for _, q := range diary.Symptoms {
		t.fields = append(t.fields, field{"symptom_" + q.Key, "string", q.Finding})
	}
	for _, e := range diary.Current(log) {
		row := []string{e.ID, e.Date.String(), strconv.FormatBool(e.Run), scoreCell(e.During), scoreCell(e.After), scoreCell(e.Morning),
			scoreCell(e.Stiffness), e.Painkillers.String(), e.Slapping.String(), e.FrontOfAnkle.String(), e.TenderSpot.String(),
			e.LoosenedLaces.String(), amountCell(e.Minutes), amountCell(e.Kilometres), e.Plan, e.Note}
		for _, a := range e.Checklist {
			row = append(row, a.String())
		}
		t.rows = append(t.rows, row)
	}
	return t
}

func exerciseTable(log diary.Log) dataTable {
	t := dataTable{name: "exercises.csv", fields: []field{
		{"line", "string", "identifier of the line"}, {"date", "date", ""}, {"exercise", "string", "heel walk or toe walk"},
		{"sets", "integer", ""}, {"set_m", "number", "distance of each set in m"}, {"slow", "integer", "slow repetitions a set"},
		{"fast", "integer", "fast repetitions a set"}, {"load_kg", "number", ""}, {"pain", "integer", "0 to 10"}, {"note", "string", ""}}}
	newest := map[string]int64{}
	for _, e := range log.Exercises {
		newest[e.ID] = max(newest[e.ID], e.Seq)
	}
	for _, e := range log.Exercises {
		if e.Removed || newest[e.ID] != e.Seq {
			continue
		}
		t.rows = append(t.rows, []string{e.ID, e.Date.String(), e.Drill.String(), strconv.Itoa(e.Sets), amountCell(e.Metres),
			amountCell(float64(e.Slow)), amountCell(float64(e.Fast)), amountCell(e.LoadKilograms), scoreCell(e.Pain), e.Note})
	}
	return t
}

// sessionTable has one row a session with every metric of both sides.
func sessionTable(sessions []Session) dataTable {
	t := dataTable{name: "sessions.csv", fields: []field{
		{"session", "string", ""}, {"date", "date", ""}, {"zone", "string", "time zone"}, {"method", "string", "version of the method"},
		{"shoe", "string", ""}, {"drop_mm", "number", ""}, {"insole", "string", ""}, {"tape", "string", ""}, {"surface", "string", ""},
		{"slope_percent", "number", ""}, {"direction", "string", ""}, {"speed_m_s", "number", ""}, {"treadmill", "string", ""},
		{"minutes_into_run", "number", ""}, {"intervals", "string", ""}, {"placement", "string", ""}, {"refitted", "string", "sensors put on again"},
		{"used_left", "integer", "used steps"}, {"used_right", "integer", "used steps"}, {"note", "string", ""}}}
	for _, m := range step.Catalogue() {
		for _, side := range []string{"left", "right"} {
			t.fields = append(t.fields, field{side + "_" + m.Key, "number", m.Label + ", centre of the session"})
		}
	}
	for _, s := range sessions {
		c := s.Form.Conditions
		row := []string{s.ID, s.Form.Date.String(), s.Form.Zone, s.Summary.Method, c.Shoe, optional(c.DropMM), c.Insole, c.Tape, c.Surface,
			optional(c.SlopePercent), c.Direction, optional(c.SpeedMPS), c.Treadmill.String(), optional(c.MinutesIntoRun), c.Intervals, c.Placement,
			c.Refitted.String(), strconv.Itoa(s.Summary.UsedLeft), strconv.Itoa(s.Summary.UsedRight), s.Form.Note}
		for _, m := range step.Catalogue() {
			v := s.Summary.Measures[m.Key]
			row = append(row, metricCell(m, v.Left), metricCell(m, v.Right))
		}
		t.rows = append(t.rows, row)
	}
	return t
}

func optional(x *float64) string {
	if x == nil {
		return ""
	}
	return strconv.FormatFloat(*x, 'g', -1, 64)
}

// metricCell prints a centre in the unit of the metric's key.
func metricCell(m step.Metric, v recovery.Value) string {
	x := float64(v.Center)
	if v.N == 0 || x != x {
		return ""
	}
	if m.Share {
		return strconv.FormatFloat(x, 'f', 4, 64)
	}
	return strconv.FormatFloat(m.Unit.FromBase(x), 'f', m.Digits+2, 64)
}
