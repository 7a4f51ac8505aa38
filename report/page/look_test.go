package page_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/asymmetry"
	"setdown/report/page"
)

// Writes pages to the folder in SETDOWN_LOOK, for a person to look at.
func TestLook(t *testing.T) {
	dir := os.Getenv("SETDOWN_LOOK")
	if dir == "" {
		t.Skip("SETDOWN_LOOK names no folder")
	}
	for name, m := range map[string]made{
		"different": {n: 200, left: 305, right: 412, injured: asymmetry.InjuredRight, verdict: asymmetry.Different},
		"few":       {n: 18, left: 305, right: 330, verdict: asymmetry.CannotTell},
	} {
		var b bytes.Buffer
		require.NoError(t, page.Write(&b, m.result()))
		require.NoError(t, os.WriteFile(filepath.Join(dir, name+".html"), b.Bytes(), 0o666))
	}
}
