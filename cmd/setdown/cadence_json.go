package main

import (
	"encoding/json"
	"io"
	"math"
	"time"

	"setdown/gait"
	"setdown/gait/cadence"
	"setdown/gait/estimate"
)

// cadenceSchema names the form of the JSON output; see docs/cadence.md.
const cadenceSchema = "setdown-cadence/1"

// jsonCourse is the length of a row of the time course, s.
const jsonCourse = 10

type cadenceDocument struct {
	Schema     string        `json:"schema"`
	Version    string        `json:"version"`
	Method     string        `json:"method"`
	Start      *time.Time    `json:"start"`
	Recordings []cadencePart `json:"recordings"`
	Remarks    []cadenceNote `json:"remarks"`
}

type cadencePart struct {
	Name                       string         `json:"name"`
	Side                       string         `json:"side"`
	Site                       string         `json:"site"`
	From                       string         `json:"from"`
	BeginS                     float64        `json:"begin_s"`
	EndS                       float64        `json:"end_s"`
	Cadence                    cadenceRate    `json:"cadence"`
	Steps                      int            `json:"steps"`
	MovingS                    float64        `json:"moving_s"`
	Gaits                      []cadenceGait  `json:"gaits"`
	StrideTimeVariationPercent *float64       `json:"stride_time_variation_percent"`
	Pauses                     []cadenceSpan  `json:"pauses"`
	Course                     []cadencePoint `json:"course"`
}

type cadenceRate struct {
	N           int      `json:"n"`
	StepsPerMin *float64 `json:"steps_per_min"`
	Low         *float64 `json:"low"`
	High        *float64 `json:"high"`
	Method      string   `json:"method"`
}

type cadenceGait struct {
	Gait     string      `json:"gait"`
	SecondsS float64     `json:"duration_s"`
	Cadence  cadenceRate `json:"cadence"`
}

type cadenceSpan struct {
	FromS float64 `json:"from_s"`
	ToS   float64 `json:"to_s"`
}

type cadencePoint struct {
	cadenceSpan
	StepsPerMin *float64 `json:"steps_per_min"`
	Gait        string   `json:"gait"`
	N           int      `json:"n"`
}

type cadenceNote struct {
	Code  string `json:"code"`
	Level string `json:"level"`
	Place string `json:"place"`
	Text  string `json:"text"`
}

// writeCadenceJSON prints the result for other programs.
func writeCadenceJSON(w io.Writer, res *gait.CadenceResult) error {
	doc := cadenceDocument{Schema: cadenceSchema, Version: version, Method: gait.Method, Recordings: []cadencePart{}, Remarks: []cadenceNote{}}
	if !res.Start.IsZero() {
		doc.Start = &res.Start
	}
	for i := range res.Parts {
		doc.Recordings = append(doc.Recordings, partOf(&res.Parts[i]))
	}
	for _, r := range res.Remarks {
		doc.Remarks = append(doc.Remarks, cadenceNote{r.Code, r.Level.String(), r.Place.String(), r.Text})
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(doc)
}

func partOf(r *cadence.Result) cadencePart {
	p := cadencePart{Name: r.Label, Side: r.Side.String(), Site: r.Site.String(), From: r.From,
		BeginS: places(r.Begin, 3), EndS: places(r.End, 3), Cadence: rateOf(r.Cadence), Steps: r.Steps, MovingS: places(r.Moving, 2),
		StrideTimeVariationPercent: known(100*r.Variation.Center, 2),
		Gaits:                      []cadenceGait{}, Pauses: []cadenceSpan{}, Course: []cadencePoint{}}
	for _, g := range r.Gaits {
		p.Gaits = append(p.Gaits, cadenceGait{g.Gait.String(), places(g.Seconds, 2), rateOf(g.Cadence)})
	}
	for _, x := range r.Pauses {
		p.Pauses = append(p.Pauses, cadenceSpan{places(x.From, 2), places(x.To, 2)})
	}
	for _, x := range r.Course(jsonCourse) {
		p.Course = append(p.Course, cadencePoint{cadenceSpan{places(x.From, 3), places(x.To, 3)}, known(60*x.Cadence, 2), x.Gait.String(), x.N})
	}
	return p
}

func rateOf(e estimate.Estimate) cadenceRate {
	return cadenceRate{e.N, known(60*e.Center, 2), known(60*e.Low, 2), known(60*e.High, 2), e.Method}
}

// known is the number, or nil where it does not exist.
func known(v float64, digits int) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	v = places(v, digits)
	return &v
}

func places(v float64, digits int) float64 {
	f := math.Pow(10, float64(digits))
	return math.Round(v*f) / f
}
