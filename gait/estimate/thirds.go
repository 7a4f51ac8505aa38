package estimate

// Thirds compares the first with the last third of a session.
type Thirds struct {
	// Difference is the median of the last third less that of the first.
	Difference Estimate
	// First and Last are the mean times of the values in the two thirds, s.
	First, Last float64
}

// ThirdsDifference compares the values in the first third of the time spanned
// by s with those in the last third. The thirds are taken as having nothing in
// common, the middle third lying between them. The interval is that of
// DifferenceInterval; with too few values in a third there is none.
func ThirdsDifference(s Series, cfg Config) Thirds {
	mustPair(s.Times, s.Values)
	first, last := s.thirds()
	return Thirds{
		Difference: DifferenceInterval(last.Values, first.Values, cfg),
		First:      Mean(first.Times), Last: Mean(last.Times),
	}
}

// thirds cuts out the first and last third of the time that s spans.
func (s Series) thirds() (first, last Series) {
	if len(s.Times) == 0 {
		return first, last
	}
	start, end := s.Times[0], s.Times[len(s.Times)-1]
	from, to := 0, len(s.Times)
	for from < to && s.Times[from] <= start+(end-start)/3 {
		from++
	}
	for to > from && s.Times[to-1] >= end-(end-start)/3 {
		to--
	}
	return Series{s.Times[:from], s.Values[:from]}, Series{s.Times[to:], s.Values[to:]}
}

// PairDifferences returns a − b stride by stride for the steps that have a
// partner (see PairedDifferenceInterval), at the mean of the two times: what
// the feet share cancels, what one of them does alone stays. It is empty
// without times.
func PairDifferences(a, b Series) Series {
	var d Series
	for _, p := range pairs(a, b) {
		d.Times = append(d.Times, (a.Times[p.a]+b.Times[p.b])/2)
		d.Values = append(d.Values, a.Values[p.a]-b.Values[p.b])
	}
	return d
}
