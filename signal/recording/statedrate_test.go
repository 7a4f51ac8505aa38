package recording

import (
	"strings"
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

func TestRatesThatDifferAreNoRate(t *testing.T) {
	for lines, want := range map[string]float64{
		"Accelerometer rate: 400 Hz\nGyroscope rate: 200 Hz": 0, "Accelerometer rate: 200 Hz\nGyroscope rate: 200 Hz\nMagnetometer rate: 50 Hz": 200, "ODR: 200\nODR gyro: 400": 0,
		"Sampling rate: 208 Hz\nSampling interval: 4.8 ms": 208, "Sample rate: 200 Hz, filter 92 Hz": 200, "Data rate: 100 Hz\nSampling rate: 200 Hz": 200,
		"Baud rate: 2400\nBLE interval: 15 ms": 0, "connection interval: 30 ms\nrate: 200 Hz": 200,
	} {
		require.Equal(t, want, preambleRate(strings.Split(lines, "\n")), lines)
	}
	_, err := Open(t.Context(), []Source{Bytes("left_foot.csv", []byte("acc rate: 400 Hz\ngyro rate: 200 Hz\nn,ax,ay,az,gx,gy,gz\n"+strings.Repeat("0,0.1,0.2,9.8,0,0,0\n", 300)), Left)}, Options{})
	require.ErrorContains(t, err, "different sampling rates are stated: 400 and 200 Hz")
}
