package trial

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/signal/recording"
)

// Settings say how every recording of a trial is analysed.
type Settings struct {
	// Version of the tool.
	Version string
	// Injured holds where a recording does not say.
	Injured asymmetry.Injured
	// Floors replaces default floors, base units, see asymmetry.Settings.
	Floors map[string]float64
	// Seed of the resampling.
	Seed uint64
	// Recording says what files cannot say themselves.
	Recording recording.Options
	// Columns names the mapping file and ColumnsSHA256 is its hash, in hex;
	// both "" where Recording.Mapping is nil.
	Columns, ColumnsSHA256 string
}

// written is what is kept of the settings in files: all that can change a
// number.
type written struct {
	Version       string             `json:"version"`
	Method        string             `json:"method"`
	Injured       string             `json:"injured"`
	Floors        map[string]float64 `json:"floors,omitempty"`
	Seed          uint64             `json:"seed"`
	Rate          float64            `json:"rate_hz,omitempty"`
	CadenceCounts int                `json:"cadence_counts,omitempty"`
	Columns       string             `json:"columns,omitempty"`
	ColumnsSHA256 string             `json:"columns_sha256,omitempty"`
}

func (s Settings) written() written {
	return written{
		Version: s.Version, Method: gait.Method, Injured: s.Injured.String(), Floors: s.Floors, Seed: s.Seed,
		Rate: s.Recording.Rate, CadenceCounts: int(s.Recording.CadenceCounts),
		Columns: s.Columns, ColumnsSHA256: s.ColumnsSHA256,
	}
}

// gait returns the settings of one recording.
func (s Settings) gait(it *Item) gait.Settings {
	injured := s.Injured
	for _, i := range []asymmetry.Injured{asymmetry.InjuredUnknown, asymmetry.InjuredLeft, asymmetry.InjuredRight, asymmetry.InjuredBoth} {
		if it.Injured == i.String() {
			injured = i
		}
	}
	return gait.Settings{Version: s.Version, Injured: injured, Floors: s.Floors, Seed: s.Seed}
}

// digest is the SHA-256, in hex, of a value's JSON. Maps are written with
// sorted keys, so that equal values have equal digests.
func digest(values ...any) string {
	h := sha256.New()
	enc := json.NewEncoder(h)
	for _, v := range values {
		if err := enc.Encode(v); err != nil {
			panic("trial: settings cannot be written: " + err.Error())
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}
