package table_test

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/report/table"
)

func TestOutputPageNamesEveryColumnAndKey(t *testing.T) {
	page, err := os.ReadFile("../../docs/output.md")
	require.NoError(t, err)
	for _, c := range table.Columns() {
		require.Contains(t, string(page), "`"+c+"`")
	}
	raw, err := os.ReadFile("../../docs/session.schema.json")
	require.NoError(t, err)
	var schema struct {
		Properties map[string]any
		Required   []string
	}
	require.NoError(t, json.Unmarshal(raw, &schema))
	require.Len(t, schema.Properties, len(schema.Required))
	for key := range schema.Properties {
		require.Contains(t, string(page), "`"+key+"`")
	}
	require.Contains(t, string(page), "`"+table.Schema+"`")
}

// Every key that is written is described, so that the schema cannot fall behind.
func TestSchemaDescribesEveryKeyWritten(t *testing.T) {
	raw, err := os.ReadFile("../../docs/session.schema.json")
	require.NoError(t, err)
	var schema map[string]any
	require.NoError(t, json.Unmarshal(raw, &schema))
	written := decoded(t, result())
	properties := func(path ...string) map[string]any { return object(t, object(t, schema, path...), "properties") }
	for where, pair := range map[string][2]map[string]any{
		"top":       {written, properties()},
		"input":     {written["inputs"].([]any)[0].(map[string]any), properties("$defs", "input")},
		"asymmetry": {object(t, written, "asymmetry", "strike_angle_deg"), properties("$defs", "asymmetry")},
		"counts":    {object(t, written, "steps", "left"), properties("$defs", "counts")},
		"estimate":  {object(t, written, "sides", "left", "strike_angle_deg"), properties("$defs", "estimate")},
		"remark":    {written["remarks"].([]any)[0].(map[string]any), properties("$defs", "remark")},
	} {
		for key := range pair[0] {
			require.Contains(t, pair[1], key, where)
		}
	}
}
