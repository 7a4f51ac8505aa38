package recording

import "strings"

// part is what one piece of a joined heading names.
type part uint8

const (
	partSide part = iota
	partSite
	partSensor
	partAxis
	partNumber
)

// pieces are the short words that joined headings are made of ("lfax", "accxl").
var pieces = []struct {
	text  string
	kind  part
	words []string
}{
	{"left", partSide, []string{"left"}}, {"right", partSide, []string{"right"}}, {"links", partSide, []string{"left"}}, {"rechts", partSide, []string{"right"}},
	{"lf", partSide, []string{"left", "foot"}}, {"rf", partSide, []string{"right", "foot"}}, {"l", partSide, []string{"left"}}, {"r", partSide, []string{"right"}},
	{"foot", partSite, []string{"foot"}}, {"shoe", partSite, []string{"foot"}}, {"heel", partSite, []string{"foot"}}, {"shank", partSite, []string{"shin"}},
	{"shin", partSite, []string{"shin"}}, {"tibia", partSite, []string{"shin"}},
	{"accelerometer", partSensor, []string{"acc"}}, {"acceleration", partSensor, []string{"acc"}}, {"accel", partSensor, []string{"acc"}},
	{"accl", partSensor, []string{"acc"}}, {"acc", partSensor, []string{"acc"}}, {"gyroscope", partSensor, []string{"gyr"}}, {"gyro", partSensor, []string{"gyr"}},
	{"gyr", partSensor, []string{"gyr"}}, {"gf", partSensor, []string{"acc"}}, {"omega", partSensor, []string{"gyr"}}, {"a", partSensor, []string{"acc"}}, {"g", partSensor, []string{"gyr"}},
	{"w", partSensor, []string{"gyr"}}, {"ω", partSensor, []string{"gyr"}},
	{"x", partAxis, []string{"x"}}, {"y", partAxis, []string{"y"}}, {"z", partAxis, []string{"z"}},
}

// segment takes a word apart that is nothing but a sensor, its axis, a side, a
// site and a number, each at most once: "lax" → left acc x, "gyroyr" → gyr y
// right, "ax2" → acc x 2. Sensor and axis must both stand in it, unless they
// stand elsewhere in the heading. Nil when the word is not of that kind.
func segment(w string, sensor, axis bool) []string {
	if len(w) < 2 || len(w) > 32 {
		return nil
	}
	s := segmenter{}
	s.used[partSensor], s.used[partAxis] = sensor, axis
	return s.rest(w, nil)
}

// segmenter remembers which parts have been named, and how many by this word.
type segmenter struct {
	used  [partNumber + 1]bool
	named int
}

// rest reads on at the rest of a word.
func (s segmenter) rest(w string, out []string) []string {
	if w == "" {
		if s.used[partSensor] && s.used[partAxis] && s.named > 1 {
			return out
		}
		return nil
	}
	if n := strings.TrimLeft(w, "0123456789"); n != w && !s.used[partNumber] && len(w)-len(n) < 4 {
		now := s
		now.used[partNumber] = true
		return now.rest(n, append(out, w[:len(w)-len(n)]))
	}
	for _, p := range pieces {
		rest, ok := strings.CutPrefix(w, p.text)
		if !ok || s.used[p.kind] {
			continue
		}
		now := s
		now.used[p.kind] = true
		now.named++
		if found := now.rest(rest, append(out[:len(out):len(out)], p.words...)); found != nil {
			return found
		}
	}
	return nil
}

// minCompound is the shortest word that is looked for inside another.
const minCompound = 4

// compound takes a known word off the end of a longer one ("messzeit" → mess
// zeit), or a sensor's name off its front ("gyroscopedata" → gyroscope data). Nil
// when there is none.
func compound(w string) []string {
	for cut := 2; cut <= len(w)-minCompound; cut++ {
		tail := w[cut:]
		for _, m := range []meaning{meansAcc, meansGyr, meansTime, meansSite} {
			if dictionary.is(tail, m) {
				return []string{w[:cut], tail}
			}
		}
	}
	for cut := len(w) - 1; cut >= minCompound; cut-- {
		if dictionary.is(w[:cut], meansAcc) || dictionary.is(w[:cut], meansGyr) {
			return []string{w[:cut], w[cut:]}
		}
	}
	return nil
}
