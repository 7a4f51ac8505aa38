package recording

import "setdown/signal/remark"

// sameFiles refuses the same recording given for left and right, or twice for
// one side, where every step would be counted twice.
func (o *opener) sameFiles() error {
	for i, a := range o.drafts {
		for _, b := range o.drafts[i+1:] {
			if a.file == b.file || a.file.src.Name == b.file.src.Name && a.file.packed == zipped || !o.sameHead(a, b) {
				continue
			}
			if err := a.file.finish(); err != nil {
				return err
			}
			if err := b.file.finish(); err != nil {
				return err
			}
			if a.file.known() == b.file.known() && a.side == b.side {
				return fault(b.file.name, 0, "is the same recording as %s", a.file.name).hint("give each recording once")
			}
			if a.file.known() == b.file.known() {
				return fault(b.file.name, 0, "is the same recording as %s", a.file.name).hint("give the recording of the other foot")
			}
		}
	}
	return nil
}

// sameHead tells whether two drafts begin with the same samples, as far as a
// digest of them shows.
func (o *opener) sameHead(a, b *draft) bool {
	ha, hb := o.heads[a.feeds[0]], o.heads[b.feeds[0]]
	return ha.rows == hb.rows && ha.digest == hb.digest
}

// pair joins an accelerometer file and a gyroscope file of one sensor.
func (o *opener) pair() {
	var out []*draft
	for _, d := range o.drafts {
		if other := partner(out, d); other != nil {
			o.set.Remarks.Add(remark.Note, "files-joined", remark.In(d.file.name), "joined with %s: accelerometer and gyroscope of one sensor", other.file.name)
			if d.hasAcc {
				other.feeds, other.cols = append(d.feeds, other.feeds...), append(d.cols, other.cols...)
			} else {
				other.feeds, other.cols = append(other.feeds, d.feeds...), append(other.cols, d.cols...)
			}
			other.hasAcc, other.hasGyr = true, true
			other.accAxes = max(other.accAxes, d.accAxes)
			if other.side == SideUnknown {
				other.side, other.sideFrom = d.side, d.sideFrom
			}
			continue
		}
		out = append(out, d)
	}
	o.drafts = out
}

// partner finds the draft with the sensor that d lacks, on the same side and
// site, from another file.
func partner(ds []*draft, d *draft) *draft {
	for _, o := range ds {
		fits := (o.side == d.side || o.side == SideUnknown || d.side == SideUnknown) && o.site == d.site && o.file != d.file
		if fits && len(o.feeds) == 1 && len(d.feeds) == 1 &&
			(o.hasAcc && o.accAxes == 3 && !o.hasGyr && d.hasGyr && !d.hasAcc && d.accAxes == 0 || o.hasGyr && !o.hasAcc && o.accAxes == 0 && d.hasAcc && !d.hasGyr) {
			return o
		}
	}
	return nil
}
