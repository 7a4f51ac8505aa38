package recovery

import (
	"fmt"
	"strconv"
	"strings"
)

// ParseBlocks reads marked stretches, "usual:60-180, quick:3:00-5:00": a label,
// and its begin and end in s or in minutes and seconds. The error names the part
// that cannot be read, or two stretches that overlap.
func ParseBlocks(text string) ([]Block, error) {
	var out []Block
	for part := range strings.SplitSeq(text, ",") {
		part = strings.TrimSpace(part)
		label, times, ok1 := strings.Cut(part, ":")
		from, to, ok2 := strings.Cut(strings.ReplaceAll(times, "–", "-"), "-")
		b := Block{Label: strings.TrimSpace(label)}
		var err1, err2 error
		b.Start, err1 = seconds(from)
		b.End, err2 = seconds(to)
		if !ok1 || !ok2 || err1 != nil || err2 != nil || b.Label == "" || !(b.End > b.Start) {
			return nil, fmt.Errorf("%q is no stretch", part)
		}
		for _, other := range out {
			if b.Start < other.End && other.Start < b.End {
				return nil, fmt.Errorf("the stretches %q and %q overlap", FormatBlocks([]Block{other}), part)
			}
		}
		out = append(out, b)
	}
	return out, nil
}

// seconds reads "90", "90.5" or "1:30".
func seconds(text string) (float64, error) {
	minutes, rest, both := strings.Cut(strings.TrimSpace(text), ":")
	if !both {
		return bounded(minutes)
	}
	m, err := strconv.Atoi(minutes)
	if err != nil || m < 0 {
		return 0, fmt.Errorf("%q is no time", text)
	}
	s, err := bounded(rest)
	if err != nil || s >= 60 {
		return 0, fmt.Errorf("%q is no time", text)
	}
	return float64(60*m) + s, nil
}

// longestBlock is a bound on times in s, three days, against slips of the pen.
const longestBlock = 3 * 86400

func bounded(text string) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v >= 0) || v > longestBlock {
		return 0, fmt.Errorf("%q is no time", text)
	}
	return v, nil
}

// FormatBlocks writes what ParseBlocks reads, in s.
func FormatBlocks(blocks []Block) string {
	parts := make([]string, len(blocks))
	for i, b := range blocks {
		parts[i] = fmt.Sprintf("%s:%g-%g", b.Label, b.Start, b.End)
	}
	return strings.Join(parts, ", ")
}
