package gait

import (
	"fmt"
	"slices"

	"setdown/signal/recording"
	"setdown/signal/remark"
)

// NotUsed is the code of the remark that a file was given that no step is measured on.
const NotUsed = "not-used"

// remarkUnused says of each recording of a set that is not among the tracks why no
// step is measured on it: else whoever gave it would take it to be in the numbers.
// Nothing is lost where the same leg is measured all the same.
func remarkUnused(set *recording.Set, tracks []*recording.Track, remarks *remark.List) {
	for _, t := range set.Tracks {
		if slices.Contains(tracks, t) {
			continue
		}
		level := remark.Loss
		if measured(t.Side, tracks) {
			level = remark.Note
		}
		remarks.Add(level, NotUsed, remark.In(t.Label), "not used: %s", whyUnused(t, tracks))
	}
	for _, c := range set.Cadences {
		remarks.Add(remark.Loss, NotUsed, remark.In(c.Label), "not used: a watch's step rate says nothing of the feet; for the step rate use: setdown cadence %s", c.Label)
	}
}

// unused lists the files of a set that none of the tracks came from.
func unused(set *recording.Set, tracks []*recording.Track) []recording.Input {
	var all, used, out []recording.Input
	for _, t := range tracks {
		used = append(used, t.Inputs...)
	}
	for _, t := range set.Tracks {
		all = append(all, t.Inputs...)
	}
	for _, c := range set.Cadences {
		all = append(all, c.Input)
	}
	for _, in := range all {
		same := func(o recording.Input) bool { return o.Name == in.Name }
		if !slices.ContainsFunc(used, same) && !slices.ContainsFunc(out, same) {
			out = append(out, in)
		}
	}
	return out
}

// measured tells whether a leg's steps are measured on one of tracks.
func measured(side recording.Side, tracks []*recording.Track) bool {
	return side != recording.SideUnknown && slices.ContainsFunc(tracks, func(k *recording.Track) bool { return k.Side == side })
}

// whyUnused is the reason for one recording, where steps are measured on tracks.
func whyUnused(t *recording.Track, tracks []*recording.Track) string {
	switch {
	case !t.HasAcc || !t.HasGyr:
		return fmt.Sprintf("steps are measured on an accelerometer and a gyroscope together; for the step rate alone use: setdown cadence %s", t.Label)
	case t.Site == recording.Shin && measured(t.Side, tracks):
		return "the steps of this leg are measured on its foot, which shows the lowering too"
	case t.Site == recording.Shin:
		return "a shin on one leg is not compared with a foot on the other; for the contacts of this leg give its file alone, for the lowering record its foot"
	}
	return fmt.Sprintf("it sits on the %s, and steps are measured on feet or shins; for the step rate use: setdown cadence %s", t.Site, t.Label)
}
