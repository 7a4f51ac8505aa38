package agreement

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// Values computed with SciPy 1.10.1; testdata/scipy/regenerate.py makes them.
func TestDistributionsAgreeWithSciPy(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "scipy", "distributions.json"))
	require.NoError(t, err)
	var file struct {
		Values struct {
			F   []struct{ DF1, DF2, Quantile float64 } `json:"f_0975"`
			Chi []struct{ DF, Quantile float64 }       `json:"chi2_0025"`
		}
	}
	require.NoError(t, json.Unmarshal(text, &file))
	require.NotEmpty(t, file.Values.F)
	require.NotEmpty(t, file.Values.Chi)
	for _, q := range file.Values.F {
		require.InEpsilon(t, q.Quantile, fQuantile(0.975, q.DF1, q.DF2), 1e-9)
	}
	for _, q := range file.Values.Chi {
		require.InEpsilon(t, q.Quantile, distuv.ChiSquared{K: q.DF}.Quantile(0.025), 1e-9)
	}
}
