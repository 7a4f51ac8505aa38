package recovery_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/recovery"
)

func TestBlocksAreReadInSecondsAndMinutes(t *testing.T) {
	want := []recovery.Block{{Label: "usual", Start: 60, End: 180}, {Label: "quick step", Start: 180, End: 300.5}}
	for _, text := range []string{"usual:60-180,quick step:180-300.5", " usual : 1:00 - 3:00 , quick step: 3:00 – 5:00.5", recovery.FormatBlocks(want)} {
		got, err := recovery.ParseBlocks(text)
		require.NoError(t, err, text)
		require.Equal(t, want, got, text)
	}
}

func TestBlocksThatAreNoneAreRefused(t *testing.T) {
	for _, text := range []string{"", "usual", "usual:60", ":60-90", "usual:90-60", "usual:60-60", "usual:a-b", "usual:-5-60", "usual:1:70-3:00",
		"usual:60-180,", "usual:60-180,quick:170-300", "usual:NaN-9", "usual:0-Inf", "usual:0-1e9"} {
		_, err := recovery.ParseBlocks(text)
		require.Error(t, err, text)
	}
}
