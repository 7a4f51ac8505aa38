package recording

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Words that tell of a sampling rate, an interval, or something else that is
// counted in Hz.
var (
	rateWords = pattern(`(?i)sampl\w*[ _-]*(?:rate|freq\w*|hz)|abtast(?:rate|frequenz)|frequen[ctz]\w*|fr[eé]quence|frecuencia|frequenza|` +
		`bemonster\w*|campionamento|muestreo|[ée]chantillonnage|\brate\b|\brata\b|\bfs\b|\bsr\b|\bfps\b|\bsps\b|\bodr\b|(?:frames|samples) per second|data rate|(?:sensor|imu|log|logging)_rate\b`)
	sampleWords   = pattern(`(?i)sampl|abtast|bemonster|campion|muestreo|[ée]chantillon|\bfs\b|\bodr\b|\bfps\b|\bsps\b|per second`)
	intervalWords = pattern(`(?i)interval\w*|intervall\w*|period\w*|p[ée]riode|per[ií]odo|abtastzeit|sample time|\bdt\b|pas de temps`)
	otherRates    = pattern(`(?i)filter|cut.?off|corner|bandwidth|pass|heart|pulse|herz|grenz|coupure|corte|taglio|range|\bmag|temp|press|gps|baro|step|stride|cadence|baud|\bble\b|bluetooth|connection|advertis|transmi|radio|wi-?fi|battery|sync|refresh|display|screen`)
	hertzValue    = pattern(`(?i)([0-9]+(?:[.,][0-9]+)?)\s*(k?)hz`)
	// 200 samples/s, 200 S/s, 200 frames per second.
	perSecond  = pattern(`(?i)([0-9]+(?:[.,][0-9]+)?)\s*(?:(?:samples?|frames|values|echantillons|pr[oó]bek|amostras|muestras|campioni)\s*(?:/\s*|(?:per|a|pro|par|por|na|al)\s+)s(?:ec\w*|ek\w*|eg\w*)?\b|sps\b|S/s\b)`)
	plainValue = pattern(`(?i)([0-9]+(?:[.,][0-9]+)?)\s*(µs|us|ms|s|sec\w*|k?hz)?(?:[^a-z0-9]|$)`)
	unitOfTime = pattern(`(?i)[\[(]\s*(µs|us|ms|s|sec\w*)\s*[\])]`)
)

// preambleRate returns the sampling rate stated in the lines, Hz, or 0 where none is or
// several are that differ.
func preambleRate(lines []string) float64 {
	if rates := preambleRates(lines); len(rates) == 1 {
		return rates[0]
	}
	return 0
}

// preambleRates returns the different sampling rates, Hz, that lines state of which one is
// as good as the other. Lines that speak of samples and of nothing else in Hz come before
// those that speak of something else too, and of these the first counts; then come lines
// that speak of neither.
func preambleRates(lines []string) []float64 {
	for _, class := range [...]struct{ sampled, other bool }{{true, false}, {true, true}, {false, false}} {
		var rates []float64
		for _, l := range lines {
			if sampleWords().MatchString(l) != class.sampled || otherRates().MatchString(l) != class.other || !class.sampled && clockWords().MatchString(l) && clockIn(l) > 0 {
				continue
			}
			v := lineRate(l)
			if v < MinRate || v > MaxRate || slices.ContainsFunc(rates, func(r float64) bool { return math.Abs(r-v) <= sameRate*v }) {
				continue
			}
			if rates = append(rates, v); class.other {
				break
			}
		}
		if len(rates) > 0 {
			return rates
		}
	}
	return nil
}

// sameRate is the share by which two statements of one rate may differ, as 1/0.0048 s
// from 208 Hz.
const sameRate = 0.01

// noRate says in words why no sampling rate is known.
func (l *layout) noRate() string {
	rates := preambleRates(l.s.preamble)
	if len(rates) < 2 {
		return "no sampling rate is stated"
	}
	words := make([]string, len(rates))
	for i, r := range rates {
		words[i] = fmt.Sprintf("%.6g", r)
	}
	return "different sampling rates are stated: " + strings.Join(words, " and ") + " Hz"
}

// lineRate returns the sampling rate, Hz, that one line states, as a rate or as
// an interval; 0 when it states none.
func lineRate(line string) float64 {
	if m := hertzValue().FindStringSubmatch(line); m != nil {
		v := decimalValue(m[1])
		if m[2] != "" {
			v *= 1000
		}
		return v
	}
	if m := perSecond().FindStringSubmatch(line); m != nil {
		return decimalValue(m[1])
	}
	if v, word, ok := valueAfter(intervalWords(), line); ok {
		if u := unitOfTime().FindStringSubmatch(line); word == "" && u != nil {
			word = u[1]
		}
		return rateOfInterval(v, word)
	}
	v, word, _ := valueAfter(rateWords(), line)
	if word != "" {
		return rateOfInterval(v, word)
	}
	return v
}

// valueAfter reads the first number behind one of the words, and its unit, if it has
// one; ok tells whether one of the words stands there at all.
func valueAfter(words *regexp.Regexp, line string) (v float64, unit string, ok bool) {
	at := words.FindStringIndex(line)
	if at == nil {
		return 0, "", false
	}
	m := plainValue().FindStringSubmatch(line[at[1]:])
	if m == nil {
		return 0, "", true
	}
	return decimalValue(m[1]), m[2], true
}

// rateOfInterval turns a sampling interval into a rate, Hz. Without a unit only a
// fraction of a second is certain.
func rateOfInterval(v float64, word string) float64 {
	factor := 1.0
	switch w := strings.ToLower(word); {
	case w == "ms":
		factor = 1e-3
	case w == "us", w == "µs":
		factor = 1e-6
	case w == "" && v > 1.0/MinRate:
		return 0
	}
	if v <= 0 {
		return 0
	}
	return roundDigits(1/(v*factor), 9)
}

// decimalValue reads digits with a decimal point or comma.
func decimalValue(text string) float64 {
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		return 0
	}
	return v
}
