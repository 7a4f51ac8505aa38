package gait

import (
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// SideUnknown is the code of the remark that a recording's foot is not known.
const SideUnknown = "side-unknown"

// remarkSideless says of each recording whose foot is not known that its steps
// are in no foot's numbers: else session.json would have empty sides and no reason.
func remarkSideless(tracks []*recording.Track, results []*trackResult, remarks *remark.List) {
	for i, t := range tracks {
		if t.Side == recording.SideUnknown {
			remarks.Add(remark.Loss, SideUnknown, remark.In(t.Label),
				"does not say which foot it is of: its %d steps count for the step rate only; say it in the file's name or headings, or where you give the file", len(results[i].steps))
		}
	}
}
