package recording_test

import (
	"bytes"
	"testing"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// plainFile writes seconds of a recording in the plain dialect, 6 decimals.
func plainFile(b *testing.B, seconds float64) []byte {
	s := dialects.Swinging(200, seconds, 0)
	src := dialects.Dialect{Digits: 6}.Sources(s, s)[0]
	r, err := src.Open()
	if err != nil {
		b.Fatal(err)
	}
	var buf bytes.Buffer
	if _, err := buf.ReadFrom(r); err != nil {
		b.Fatal(err)
	}
	return buf.Bytes()
}

func BenchmarkRead(b *testing.B) {
	data := plainFile(b, 600)
	s, err := recording.Open(b.Context(), []recording.Source{recording.Bytes("left.csv", data, recording.Left)}, recording.Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := s.Tracks[0].Read(nil, func(*recording.Block) error { return nil }); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTokenize(b *testing.B) {
	data := plainFile(b, 600)
	rows, err := recording.Rows(b.Context(), recording.Bytes("left.csv", data, recording.Left))
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if err := rows(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkOpen(b *testing.B) {
	data := plainFile(b, 600)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := recording.Open(b.Context(), []recording.Source{recording.Bytes("left.csv", data, recording.Left)}, recording.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
