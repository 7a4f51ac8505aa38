package recording

import (
	"strconv"
	"sync/atomic"
)

// feed is one sensor (or an accelerometer with its gyroscope) in one file: which
// cells of which rows belong to it and what they mean.
type feed struct {
	f *file
	s *sheet
	// col holds the column of each channel acc x … gyr z; −1 where absent.
	col [6]int
	// scale turns each channel into base units.
	scale [6]float64
	time  timePlan
	// keys are the columns that tell whose row it is; match holds the joined
	// texts that mean this feed, with the channel that the value column then
	// holds, or −1 when the row has all channels.
	keys  []int
	match map[string]int
	value int
	// sparse tells that rows without any value belong to another feed.
	sparse bool
	stamps stampPlan
	clip   clipPlan
	// beyond is the size, per sensor and in base units, beyond which a number is no
	// measurement.
	beyond [2]float64
	lost   lostPlan
	// kept are the rows of the head, for the first reading.
	kept atomic.Pointer[kept]
	// check says, per channel, how its unit was checked.
	check [6]string
}

// has returns the sensors that the feed holds.
func (f *feed) has() (acc, gyr bool) { return f.axes(0) > 0, f.axes(3) > 0 }

// axes counts the columns of the sensor whose first channel is from.
func (f *feed) axes(from int) int {
	n := 0
	for _, c := range f.col[from : from+3] {
		if c >= 0 {
			n++
		}
	}
	return n
}

// columnName is the heading of a column, or its number.
func (f *feed) columnName(i int) string {
	if i >= 0 && i < len(f.s.names) && f.s.names[i] != "" {
		return f.s.names[i]
	}
	return strconv.Itoa(i + 1)
}
