package recording

// bids reads the headings of a Motion-BIDS recording.
func (l *layout) bids([]Source) (bool, error) { return false, nil }
