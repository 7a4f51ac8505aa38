package recording

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRatesAsTheyAreStated(t *testing.T) {
	for line, want := range map[string]float64{
		"128 samples/s": 128, "Acquisition: 200 S/s": 200, "100 samples per second": 100, "250 sps": 250, "imu_rate=104": 104, "acc_rate: 416": 0, "208 muestras por segundo": 208,
		"10 samples as a test": 0, "16 bit": 0, "heart_rate=120": 0,
	} {
		require.Equal(t, want, preambleRate([]string{line}), line)
	}
}
