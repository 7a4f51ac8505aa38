package dialects

import "setdown/signal/recording"

var sideNames = [2]string{"left", "right"}

// extra is the unused column, with its heading or a value.
func (t *table) extra(head bool) []string {
	switch {
	case t.d.Extra == "":
		return nil
	case head:
		return []string{t.d.Extra}
	}
	return []string{"21" + t.d.Decimal + "5"}
}

// perFoot writes one file a foot.
func (d *Dialect) perFoot(both [2]Samples) []recording.Source {
	var out []recording.Source
	for side, s := range both {
		t := &table{d: d}
		t.begin(join(d.TimeHead, t.extra(true), t.accHead(), t.gyrHead(), d.TailHead)...)
		for i := range s.Len() {
			t.row(join(t.time(s, i), t.extra(false), t.acc(s, i), t.gyr(s, i), d.Tail)...)
		}
		out = append(out, t.source(sideNames[side]))
	}
	return out
}

// perSensor writes accelerometer and gyroscope of each foot into their own files.
func (d *Dialect) perSensor(both [2]Samples) []recording.Source {
	var out []recording.Source
	for side, s := range both {
		a, g := &table{d: d}, &table{d: d}
		a.begin(join(d.TimeHead, a.accHead())...)
		g.begin(join(d.TimeHead, g.gyrHead())...)
		for i := range s.Len() {
			a.row(join(a.time(s, i), a.acc(s, i))...)
			g.row(join(g.time(s, i), g.gyr(s, i))...)
		}
		out = append(out, a.source(sideNames[side]+"_acc"), g.source(sideNames[side]+"_gyro"))
	}
	return out
}

// wide writes both feet into the columns of one file.
func (t *table) wide(both [2]Samples) {
	head := append([]string(nil), t.d.TimeHead...)
	for side := range both {
		for _, name := range join(t.accHead(), t.gyrHead()) {
			head = append(head, t.d.WideHead(t.d.Sides[side], name))
		}
	}
	t.begin(head...)
	l, r := both[0], both[1]
	for i := range l.Len() {
		t.row(join(t.time(l, i), t.acc(l, i), t.gyr(l, i), t.acc(r, i), t.gyr(r, i))...)
	}
}

// longSide writes a row a foot, with the side in a column.
func (t *table) longSide(both [2]Samples) {
	t.begin(join(t.d.TimeHead, []string{t.d.KeyHead}, t.accHead(), t.gyrHead())...)
	for i := range both[0].Len() {
		for side, s := range both {
			t.row(join(t.time(s, i), []string{t.d.Sides[side]}, t.acc(s, i), t.gyr(s, i))...)
		}
	}
}

// longSensor writes a row a sensor, with side and sensor in columns.
func (t *table) longSensor(both [2]Samples) {
	t.begin(join(t.d.TimeHead, []string{t.d.KeyHead, "sensor", "x", "y", "z"})...)
	for i := range both[0].Len() {
		for side, s := range both {
			t.row(join(t.time(s, i), []string{t.d.Sides[side], "acc"}, t.acc(s, i))...)
			t.row(join(t.time(s, i), []string{t.d.Sides[side], "gyro"}, t.gyr(s, i))...)
		}
	}
}

// longChannel writes a row a value.
func (t *table) longChannel(both [2]Samples) {
	t.begin(join(t.d.TimeHead, []string{"channel", "value"})...)
	names := join(t.accHead(), t.gyrHead())
	for i := range both[0].Len() {
		for side, s := range both {
			for c, v := range join(t.acc(s, i), t.gyr(s, i)) {
				t.row(join(t.time(s, i), []string{t.d.WideHead(t.d.Sides[side], names[c]), v})...)
			}
		}
	}
}

// interleaved writes acceleration and angular rate in turn, in rows of one foot
// after the other's columns.
func (t *table) interleaved(both [2]Samples) {
	head := append([]string(nil), t.d.TimeHead...)
	for side := range both {
		for _, name := range join(t.accHead(), t.gyrHead()) {
			head = append(head, t.d.WideHead(t.d.Sides[side], name))
		}
	}
	t.begin(head...)
	l, r := both[0], both[1]
	none := []string{"", "", ""}
	for i := range l.Len() {
		t.row(join(t.time(l, i), t.acc(l, i), none, t.acc(r, i), none)...)
		t.row(join(t.time(l, i), none, t.gyr(l, i), none, t.gyr(r, i))...)
	}
}

// sideBySide gives each sensor its own time column.
func (t *table) sideBySide(both [2]Samples) {
	var head []string
	for side := range both {
		name := t.d.Sides[side]
		head = append(head, t.d.WideHead(name, "acc_time_s"))
		for _, h := range t.accHead() {
			head = append(head, t.d.WideHead(name, h))
		}
		head = append(head, t.d.WideHead(name, "gyr_time_s"))
		for _, h := range t.gyrHead() {
			head = append(head, t.d.WideHead(name, h))
		}
	}
	t.begin(head...)
	l, r := both[0], both[1]
	for i := range l.Len() {
		t.row(join(t.time(l, i), t.acc(l, i), t.time(l, i), t.gyr(l, i), t.time(r, i), t.acc(r, i), t.time(r, i), t.gyr(r, i))...)
	}
}
