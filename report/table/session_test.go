package table_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/report/table"
)

var update = flag.Bool("update", false, "rewrite docs/metrics.md")

func sessionJSON(t *testing.T, r *gait.Result) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, table.WriteSession(&b, r))
	return b.Bytes()
}

// cases are results of every shape that session.json must hold.
func cases() map[string]*gait.Result {
	one := result()
	one.Session.Right, one.Asymmetry = nil, nil
	watch := &gait.Result{Version: "0.1.0", Method: "1", Session: &session.Session{}}
	empty := result()
	empty.Start = time.Time{}
	empty.Session.Left = &session.Side{}
	empty.Asymmetry.Comparisons = nil
	empty.Inputs[0].Files = nil
	return map[string]*gait.Result{"both sides": result(), "one side": one, "step rate only": watch, "nothing measured": empty, "nothing at all": {}}
}

func TestSessionKeepsToItsSchema(t *testing.T) {
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	schema, err := c.Compile("../../docs/session.schema.json")
	require.NoError(t, err)
	for name, r := range cases() {
		t.Run(name, func(t *testing.T) {
			v, err := jsonschema.UnmarshalJSON(bytes.NewReader(sessionJSON(t, r)))
			require.NoError(t, err)
			require.NoError(t, schema.Validate(v))
		})
	}
	// The schema must be able to refuse.
	bad := bytes.Replace(sessionJSON(t, result()), []byte(`"verdict": "different"`), []byte(`"verdict": "injured"`), 1)
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(bad))
	require.NoError(t, err)
	require.Error(t, schema.Validate(v))
}

// object digs into decoded JSON.
func object(t *testing.T, v any, keys ...string) map[string]any {
	t.Helper()
	for _, k := range keys {
		m, ok := v.(map[string]any)
		require.True(t, ok, k)
		v = m[k]
	}
	m, ok := v.(map[string]any)
	require.True(t, ok, keys)
	return m
}

func decoded(t *testing.T, r *gait.Result) map[string]any {
	t.Helper()
	var v map[string]any
	require.NoError(t, json.Unmarshal(sessionJSON(t, r), &v))
	return v
}

func TestSessionHasEveryMetric(t *testing.T) {
	for name, r := range cases() {
		v := decoded(t, r)
		for _, m := range step.Catalogue() {
			require.Contains(t, object(t, v, "difference"), m.Key, name)
			require.Contains(t, object(t, v, "asymmetry"), m.Key, name)
		}
	}
	v := decoded(t, result())
	for _, m := range step.Catalogue() {
		for _, side := range []string{"left", "right"} {
			e := object(t, v, "sides", side, m.Key)
			want := 10.1235 // the fixture's centre in the metric's display unit
			if m.Share {
				want /= 100
			}
			require.InDelta(t, want, e["center"], 0.01, m.Key)
			require.EqualValues(t, 200, e["n"])
		}
	}
}

func TestSessionKeepsTheCataloguesOrder(t *testing.T) {
	text := string(sessionJSON(t, result()))
	text = text[strings.Index(text, `"difference"`):]
	last := 0
	for _, m := range step.Catalogue() {
		at := strings.Index(text, `"`+m.Key+`"`)
		require.Greater(t, at, last, m.Key)
		last = at
	}
}

func TestWhatDoesNotExistIsNull(t *testing.T) {
	v := decoded(t, cases()["one side"])
	require.Nil(t, object(t, v, "sides")["right"])
	require.Nil(t, object(t, v, "difference", step.Primary)["center"])
	a := object(t, v, "asymmetry", step.Primary)
	require.Equal(t, "cannot_tell", a["verdict"])
	require.Equal(t, "only the left side was recorded", a["because"])
	require.Nil(t, object(t, v, "asymmetry", "stride_time_s")["verdict"])

	v = decoded(t, result())
	require.Nil(t, object(t, v, "asymmetry", step.Primary)["log_ratio_percent"])
	require.Nil(t, object(t, v, "asymmetry", step.Primary)["explained_by_landing"])
	require.Nil(t, v["remarks"].([]any)[1].(map[string]any)["line"])
	require.Nil(t, v["remarks"].([]any)[1].(map[string]any)["time_s"])
	require.Equal(t, "2024-05-01T07:30:00Z", v["start"])

	require.Nil(t, decoded(t, cases()["nothing measured"])["start"])
}

func TestUnitsAreThoseOfTheNames(t *testing.T) {
	v := decoded(t, result())
	require.InDelta(t, 168, object(t, v, "cadence")["steps_per_min"], 1e-9)
	require.InDelta(t, 30, 100*object(t, v, "asymmetry", step.HeelFirstKey)["floor"].(float64), 1e-9)
	require.InDelta(t, 3, object(t, v, "asymmetry", "strike_angle_deg")["floor"], 1e-9)
	require.Equal(t, "g", object(t, v["inputs"].([]any)[0], "units")["acc_x"])
}

func TestSameResultGivesTheSameBytes(t *testing.T) {
	require.Equal(t, sessionJSON(t, result()), sessionJSON(t, result()))
}

func TestTheLastBitOfAFloatDoesNotShow(t *testing.T) {
	r := result()
	for i := range r.Session.Left.Measures {
		m := &r.Session.Left.Measures[i]
		m.Center = math.Nextafter(m.Center, math.Inf(1))
	}
	require.Equal(t, sessionJSON(t, result()), sessionJSON(t, r))
}

func TestSessionReadsBack(t *testing.T) {
	for name, r := range cases() {
		text := sessionJSON(t, r)
		d, err := table.ReadSession(bytes.NewReader(text), "session.json")
		require.NoError(t, err, name)
		var b bytes.Buffer
		require.NoError(t, d.Write(&b))
		require.Equal(t, string(text), b.String(), name)
	}
	_, err := table.ReadSession(strings.NewReader(`{"schema":"setdown-session/99"}`), "old.json")
	require.ErrorContains(t, err, `old.json: schema is "setdown-session/99"`)
	_, err = table.ReadSession(strings.NewReader(`side,step`), "steps.csv")
	require.ErrorContains(t, err, "steps.csv: not a session.json")
}

// Contract keys of the design, which other programs rely on.
func TestContractKeys(t *testing.T) {
	v := decoded(t, result())
	for _, k := range []string{"schema", "inputs", "cadence", "sides", "difference", "asymmetry", "remarks", "start"} {
		require.Contains(t, v, k)
	}
	in := v["inputs"].([]any)[0].(map[string]any)
	for _, k := range []string{"name", "sha256", "side", "site", "rate_hz", "mapping", "units", "samples", "duration_s"} {
		require.Contains(t, in, k)
	}
	a := object(t, v, "asymmetry", step.Primary)
	for _, k := range []string{"difference_of", "symmetry_index_percent", "excludes_zero", "floor", "verdict", "because"} {
		require.Contains(t, a, k)
	}
	require.Equal(t, asymmetry.Different.String(), a["verdict"])
	require.Equal(t, "left <a&b>.csv", in["name"])
}

func TestMetricsPageIsUpToDate(t *testing.T) {
	const page = "../../docs/metrics.md"
	var b bytes.Buffer
	require.NoError(t, table.WriteMetrics(&b))
	if *update {
		require.NoError(t, os.WriteFile(page, b.Bytes(), 0o644))
	}
	have, err := os.ReadFile(page)
	require.NoError(t, err)
	require.Equal(t, b.String(), string(have), "docs/metrics.md is stale: go test ./report/table -run Metrics -update")
}
