package trial_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/report/trial"
)

func TestSharesCutATrialWithoutRemainder(t *testing.T) {
	const items = 23
	for of := 1; of <= 30; of++ {
		count := make([]int, items)
		for k := 1; k <= of; k++ {
			mine := 0
			for i := range count {
				if (trial.Share{Part: k, Of: of}).Has(i) {
					count[i]++
					mine++
				}
			}
			require.InDelta(t, float64(items)/float64(of), mine, 1)
		}
		for i, n := range count {
			require.Equal(t, 1, n, "item %d of %d parts", i, of)
		}
	}
}

func TestParts(t *testing.T) {
	s, err := trial.ParseShare(" 3/10")
	require.NoError(t, err)
	require.Equal(t, "part 3 of 10", s.String())
	for _, bad := range []string{"", "3", "0/3", "4/3", "-1/3", "a/b", "1/0"} {
		_, err := trial.ParseShare(bad)
		require.Error(t, err, bad)
	}
}

// Names and meanings of the variables are those of sbatch(1), "Job arrays".
func TestSlurmArrays(t *testing.T) {
	for name, c := range map[string]struct {
		env  map[string]string
		want string
		fail bool
	}{
		"no array":      {map[string]string{"SLURM_JOB_ID": "7"}, "the whole trial", false},
		"from 1":        {map[string]string{"SLURM_ARRAY_TASK_ID": "3", "SLURM_ARRAY_TASK_COUNT": "10", "SLURM_ARRAY_TASK_MIN": "1"}, "part 3 of 10", false},
		"from 0":        {map[string]string{"SLURM_ARRAY_TASK_ID": "0", "SLURM_ARRAY_TASK_COUNT": "10", "SLURM_ARRAY_TASK_MIN": "0"}, "part 1 of 10", false},
		"from 5":        {map[string]string{"SLURM_ARRAY_TASK_ID": "9", "SLURM_ARRAY_TASK_COUNT": "5", "SLURM_ARRAY_TASK_MIN": "5"}, "part 5 of 5", false},
		"steps of 2":    {map[string]string{"SLURM_ARRAY_TASK_ID": "5", "SLURM_ARRAY_TASK_COUNT": "3", "SLURM_ARRAY_TASK_MIN": "1", "SLURM_ARRAY_TASK_STEP": "2"}, "part 3 of 3", false},
		"between steps": {map[string]string{"SLURM_ARRAY_TASK_ID": "4", "SLURM_ARRAY_TASK_COUNT": "3", "SLURM_ARRAY_TASK_MIN": "1", "SLURM_ARRAY_TASK_STEP": "2"}, "", true},
		"holes":         {map[string]string{"SLURM_ARRAY_TASK_ID": "9", "SLURM_ARRAY_TASK_COUNT": "3", "SLURM_ARRAY_TASK_MIN": "1"}, "", true},
		"no number":     {map[string]string{"SLURM_ARRAY_TASK_ID": "x", "SLURM_ARRAY_TASK_COUNT": "3"}, "", true},
	} {
		t.Run(name, func(t *testing.T) {
			s, err := trial.SlurmShare(func(k string) string { return c.env[k] })
			require.Equal(t, c.fail, err != nil, "%v", err)
			if !c.fail {
				require.Equal(t, c.want, s.String())
			}
		})
	}
}
