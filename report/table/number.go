package table

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strconv"

	"setdown/gait/estimate"
	"setdown/gait/step"
)

// Number is a number in JSON: NaN and infinities, "does not exist", are null.
type Number float64

// MarshalJSON writes the shortest decimal that reads back as the same number.
func (n Number) MarshalJSON() ([]byte, error) {
	v := float64(n)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return []byte("null"), nil
	}
	return strconv.AppendFloat(nil, v, 'f', -1, 64), nil
}

// UnmarshalJSON reads a number, and null as NaN.
func (n *Number) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*n = Number(math.NaN())
		return nil
	}
	return json.Unmarshal(b, (*float64)(n))
}

// rounded returns v with the given number of decimals, without a negative zero.
func rounded(v float64, digits int) Number {
	scale := math.Pow10(digits)
	r := math.Round(v*scale) / scale
	if r == 0 {
		r = 0 // −0 becomes 0
	}
	return Number(r)
}

// Estimate is a number with its interval, in the unit that its key names.
type Estimate struct {
	N      int    `json:"n"`
	Center Number `json:"center"`
	Low    Number `json:"low"`
	High   Number `json:"high"`
	Method string `json:"method"`
	// Needed is how many values an interval needs when there were too few.
	Needed *int `json:"needed,omitempty"`
}

// shown turns an estimate in base units into the metric's file unit.
func shown(e estimate.Estimate, m step.Metric) Estimate {
	u, d := ColumnUnit(m), fileDigits(m)
	return Estimate{e.N, rounded(u.FromBase(e.Center), d), rounded(u.FromBase(e.Low), d),
		rounded(u.FromBase(e.High), d), e.Method, needed(e)}
}

func needed(e estimate.Estimate) *int {
	if e.Needed == 0 {
		return nil
	}
	return &e.Needed
}

// ByMetric is a JSON object with one value a metric, in catalogue order.
type ByMetric[T any] []Keyed[T]

// Keyed is one entry of a ByMetric.
type Keyed[T any] struct {
	Key   string
	Value T
}

// Get returns the value with the key and whether there is one.
func (b ByMetric[T]) Get(key string) (T, bool) {
	for _, k := range b {
		if k.Key == key {
			return k.Value, true
		}
	}
	var none T
	return none, false
}

// MarshalJSON writes the entries as one object, in order; a nil map is null.
func (b ByMetric[T]) MarshalJSON() ([]byte, error) {
	if b == nil {
		return []byte("null"), nil
	}
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	out.WriteByte('{')
	for i, k := range b {
		if i > 0 {
			out.WriteByte(',')
		}
		if err := enc.Encode(k.Key); err != nil {
			return nil, err
		}
		out.WriteByte(':')
		if err := enc.Encode(k.Value); err != nil {
			return nil, err
		}
	}
	out.WriteByte('}')
	return out.Bytes(), nil
}

// UnmarshalJSON reads an object, keeping its order, and null as nil.
func (b *ByMetric[T]) UnmarshalJSON(data []byte) error {
	*b = nil
	dec := json.NewDecoder(bytes.NewReader(data))
	open, err := dec.Token()
	if err != nil || open == nil {
		return err
	}
	if open != json.Delim('{') {
		return fmt.Errorf("%v where an object with a value a metric should be", open)
	}
	*b = ByMetric[T]{}
	for dec.More() {
		key, err := dec.Token()
		if err != nil {
			return err
		}
		var value T
		if err := dec.Decode(&value); err != nil {
			return err
		}
		*b = append(*b, Keyed[T]{key.(string), value})
	}
	return nil
}
