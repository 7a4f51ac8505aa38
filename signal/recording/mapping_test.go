package recording_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
	"setdown/signal/unit"
)

const rawMapping = `# made by hand
decimal = point
time = "Stamp" [ms]
acc_x = AX [g] * 0.0005   # 2000 counts a g
acc_y = AY [g] * 0.0005
acc_z = #4 [g] * 0.0005
gyr_x = RX [deg/s] * 0.07
gyr_y = RY [deg/s] * 0.07
gyr_z = RZ [deg/s] * 0.07
`

func TestMappingReadsRawCounts(t *testing.T) {
	left, right := dialects.Swinging(200, 12, 0), dialects.Swinging(200, 12, 0.4)
	g := unit.Unit{Symbol: "counts", Factor: 0.0005 * unit.StandardGravity, Kind: unit.Acceleration}
	w := unit.Unit{Symbol: "counts", Factor: 0.07 * unit.DegreePerSecond.Factor, Kind: unit.AngularRate}
	d := dialects.Dialect{TimeHead: []string{"Stamp"}, Time: func(_ int, t float64) []string { return []string{strings.TrimSpace(fmtInt(t * 1000))} },
		AccHead: func(a string) string { return "A" + strings.ToUpper(a) }, GyrHead: func(a string) string { return "R" + strings.ToUpper(a) },
		AccUnit: g, GyrUnit: w, Digits: -1}
	m, err := recording.ParseMapping("columns.txt", strings.NewReader(rawMapping))
	require.NoError(t, err)
	set, err := recording.Open(t.Context(), d.Sources(left, right), recording.Options{Mapping: m})
	require.NoError(t, err)
	require.Len(t, set.Tracks, 2)
	require.Equal(t, "given", set.Tracks[0].Mapping[1].UnitFrom)
	compare(t, set.Tracks[0], left, d)
}

func TestMappingWrittenReadsBackTheSame(t *testing.T) {
	m, err := recording.ParseMapping("m.txt", strings.NewReader(rawMapping+"left shin gyr_x = \"a # b\"\nrate = 104.5\nheading = 3\ndelimiter = tab\n"))
	require.NoError(t, err)
	var b strings.Builder
	_, err = m.WriteTo(&b)
	require.NoError(t, err)
	again, err := recording.ParseMapping("m.txt", strings.NewReader(b.String()))
	require.NoError(t, err)
	for i := range m.Columns {
		m.Columns[i].Line, again.Columns[i].Line = 0, 0
	}
	require.Equal(t, m, again)
}

func TestMappingErrorsNameTheLine(t *testing.T) {
	for text, want := range map[string]string{
		"acc_x AX":              `m.txt:1: "acc_x AX" has no = sign`,
		"\n\nacc_q = AX":        `m.txt:3: unknown role "acc_q"`,
		"acc_x = AX [furlong]":  `m.txt:1: unknown unit "furlong"`,
		"acc_x = AX [g] * many": `m.txt:1: "many" is no scale`,
		"acc_x = ":              `m.txt:1: no column is named`,
		"acc_x = #0":            `m.txt:1: "#0" is no column number`,
		"acc_x = A\nacc_x = B":  `m.txt:2: acc_x was given before, on line 1`,
		"upper foot acc_x = A":  `m.txt:1: unknown word "upper"`,
		"rate = fast":           `m.txt:1: "fast" is no rate between 4 and 4000 Hz`,
		"delimiter = slash":     `m.txt:1: unknown delimiter "slash"`,
		"decimal = dot":         `m.txt:1: unknown decimal sign "dot"`,
		"heading = first":       `m.txt:1: "first" is no line number`,
		"# nothing":             `m.txt: says nothing`,
		"= AX":                  `m.txt:1: nothing stands before the = sign`,
	} {
		_, err := recording.ParseMapping("m.txt", strings.NewReader(text))
		require.EqualError(t, err, want, text)
	}
}

func TestMappingThatDoesNotFitTheFile(t *testing.T) {
	for text, want := range map[string]string{
		"acc_x = AX":            `m.txt:1: no column "AX" in left_foot.csv`,
		"rate = 50\nacc_x = #9": `m.txt:2: column #9 is named, but left_foot.csv has 7 columns`,
		"acc_x = acc_x [deg/s]": `m.txt:1: acc_x cannot be in deg/s`,
	} {
		m, err := recording.ParseMapping("m.txt", strings.NewReader(text))
		require.NoError(t, err)
		s := dialects.Swinging(100, 3, 0)
		_, err = recording.Open(t.Context(), dialects.Dialect{}.Sources(s, s)[:1], recording.Options{Mapping: m})
		require.EqualError(t, err, want)
	}
}
