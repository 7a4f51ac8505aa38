package estimate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// More independent steps than steps reads like a mistake without its reason.
func TestMoreIndependentStepsThanStepsAreExplained(t *testing.T) {
	alternating, slow := make([]float64, 60), make([]float64, 60)
	for i := range alternating {
		alternating[i] = float64(i%2)*10 + float64(i*7%13)
		slow[i] = math.Sin(float64(i)) // six steps a turn: neighbours are alike
	}
	cfg := Config{Confidence: 0.95}
	require.Regexp(t, `60 steps counted as [6-9]\d independent ones, since each leans away from the one before$`, MedianInterval(alternating, cfg).Method)
	require.Regexp(t, `60 steps counted as [1-3]\d independent ones$`, MedianInterval(slow, cfg).Method)
}
