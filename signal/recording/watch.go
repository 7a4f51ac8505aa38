package recording

// watch is a step-rate series of one file.
type watch struct {
	f     *feed
	first float64
}

func (w *watch) shift() {}

// watch reads a watch's step rate.
func (o *opener) watch(l *layout) error {
	return l.fail("no accelerometer or gyroscope columns found").hint("see setdown inspect %s, and name the columns with --columns", l.f.name)
}
