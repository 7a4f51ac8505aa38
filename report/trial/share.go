package trial

import (
	"fmt"
	"strconv"
	"strings"
)

// Share is one of several parts into which a trial is cut for a cluster. The
// zero value is the whole trial.
type Share struct {
	// Part counts from 1; Of is the number of parts. Both are 0 for the whole.
	Part, Of int
	// Task names who does the part, for example "Slurm task 812_3"; it is only
	// used in messages.
	Task string
}

// Whole tells whether the share is the whole trial.
func (s Share) Whole() bool { return s.Of == 0 }

// String prints "part 3 of 10".
func (s Share) String() string {
	if s.Whole() {
		return "the whole trial"
	}
	return fmt.Sprintf("part %d of %d", s.Part, s.Of)
}

// Has tells whether the item at an index of a plan belongs to the share: parts
// take turns, so that their sizes differ by one at most and long recordings of
// one subject do not fall to one part.
func (s Share) Has(index int) bool { return s.Whole() || index%s.Of == s.Part-1 }

// ParseShare reads "3/10".
func ParseShare(text string) (Share, error) {
	k, n, ok := strings.Cut(text, "/")
	part, err1 := strconv.Atoi(strings.TrimSpace(k))
	of, err2 := strconv.Atoi(strings.TrimSpace(n))
	if !ok || err1 != nil || err2 != nil || of < 1 || part < 1 || part > of {
		return Share{}, fmt.Errorf("%q is not a part; write k/n with k from 1 to n, for example 3/10", text)
	}
	return Share{Part: part, Of: of}, nil
}

// SlurmShare reads the share of a Slurm array task from its environment: the
// task's place among SLURM_ARRAY_TASK_MIN, MIN + STEP, … of
// SLURM_ARRAY_TASK_COUNT tasks. It is the whole trial outside an array.
//
// Slurm sets the count to the number of tasks in the array. An array of chosen
// ids with holes in it (--array=1,2,9) does not tell a task its place; that is
// an error.
func SlurmShare(getenv func(string) string) (Share, error) {
	id, count := getenv("SLURM_ARRAY_TASK_ID"), getenv("SLURM_ARRAY_TASK_COUNT")
	if id == "" || count == "" {
		return Share{}, nil
	}
	n := map[string]int{"SLURM_ARRAY_TASK_MIN": 0, "SLURM_ARRAY_TASK_STEP": 1}
	for _, name := range []string{"SLURM_ARRAY_TASK_ID", "SLURM_ARRAY_TASK_COUNT", "SLURM_ARRAY_TASK_MIN", "SLURM_ARRAY_TASK_STEP"} {
		text := getenv(name)
		if text == "" && strings.HasSuffix(name, "STEP") || text == "" && strings.HasSuffix(name, "MIN") {
			continue
		}
		v, err := strconv.Atoi(text)
		if err != nil || v < 0 {
			return Share{}, fmt.Errorf("%s=%q is not a number of an array task", name, text)
		}
		n[name] = v
	}
	place := n["SLURM_ARRAY_TASK_ID"] - n["SLURM_ARRAY_TASK_MIN"]
	step := max(1, n["SLURM_ARRAY_TASK_STEP"])
	s := Share{Part: place/step + 1, Of: n["SLURM_ARRAY_TASK_COUNT"]}
	if place < 0 || place%step != 0 || s.Part > s.Of {
		return Share{}, fmt.Errorf("array task %s is not one of %s in a row from %d in steps of %d; number the tasks without holes, or give each its share with --part k/n",
			id, count, n["SLURM_ARRAY_TASK_MIN"], step)
	}
	s.Task = "Slurm task " + id
	if job := getenv("SLURM_ARRAY_JOB_ID"); job != "" {
		s.Task = "Slurm task " + job + "_" + id
	}
	return s, nil
}
