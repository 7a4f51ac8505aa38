package recording_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// told opens tables without sides in their names and returns the tracks.
func told(t *testing.T, data string) (*recording.Set, error) {
	return recording.Open(t.Context(), []recording.Source{recording.Bytes("export.csv", []byte(data), recording.SideUnknown)}, recording.Options{})
}

// A line before the heading that is nothing but words for side and place says where the
// sensor sat; what says something else about a side does not.
func TestLinesBeforeTheHeadingTellThePlace(t *testing.T) {
	rows := strings.Join(lines(t), "\n") + "\n"
	for line, want := range map[string]string{
		"Left foot": "left foot", "# Position: right foot": "right foot", "Sensor location;left shank;": "left shin", "Side: R": "right foot",
		"Sensor 2 (Fuß links)": "left foot", "pied droit": "right foot", "Device name: Foot L;Serial: 1234": "left foot", "Rate: 200 Hz, position: right shank": "right shin",
		"injured side,left": "unknown foot", "Injured foot,left": "unknown foot", "sensor: left, injured: right": "left foot",
		"injured side: left": "unknown foot", "Dominant leg: right": "unknown foot", "left, right": "unknown foot", "g": "unknown foot", "Left foot\nRight foot": "unknown foot",
		"notes: pain on the left": "unknown foot",
	} {
		set, err := told(t, line+"\n"+rows)
		require.NoError(t, err, line)
		require.Len(t, set.Tracks, 1)
		require.Equal(t, want, set.Tracks[0].Side.String()+" "+set.Tracks[0].Site.String(), line)
	}
	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte("right foot\n"+rows), recording.SideUnknown)}, recording.Options{})
	require.NoError(t, err)
	require.Equal(t, recording.Left, set.Tracks[0].Side)
	require.Len(t, with(texts(set), "its name says the left side, but a line before its heading says right"), 1)
}

// Lines before the heading that name sensors as the columns or rows do tell their sides.
func TestLinesBeforeTheHeadingNameSensors(t *testing.T) {
	left, right := dialects.Swinging(200, 14, 0), dialects.Swinging(200, 14, 0.5)
	for name, d := range map[string]dialects.Dialect{
		"wide": {Shape: dialects.Wide, Sides: [2]string{"00B4A1", "00B4A2"}, WideHead: func(s, n string) string { return n + "_" + s }, Preamble: []string{"00B4A1: left foot", "00B4A2: right foot"}},
		"numbered": {Shape: dialects.Wide, Sides: [2]string{"1", "2"}, WideHead: func(s, n string) string { return n + s }, AccHead: func(a string) string { return "a" + a }, GyrHead: func(a string) string { return "g" + a },
			Preamble: []string{"# sensor 1 = left foot", "# sensor 2 = right foot"}},
		"long": {Shape: dialects.LongSide, KeyHead: "mac", Sides: [2]string{"D4:22:CD:00:1A:01", "D4:22:CD:00:1A:02"}, Preamble: []string{"left foot,D4:22:CD:00:1A:01", "right foot,D4:22:CD:00:1A:02"}},
	} {
		t.Run(name, func(t *testing.T) {
			set, err := recording.Open(t.Context(), d.Sources(left, right), recording.Options{})
			require.NoError(t, err)
			require.Len(t, set.Tracks, 2)
			for i, want := range []recording.Side{recording.Left, recording.Right} {
				require.Equal(t, want, set.Tracks[i].Side)
				require.Equal(t, recording.Foot, set.Tracks[i].Site)
				compare(t, set.Tracks[i], []dialects.Samples{left, right}[i], d)
			}
		})
	}
}

// Two tables below each other, each under its sensor's name, are not one recording; a
// logger that starts again and writes its own name is.
func TestTablesOfTwoSensorsBelowEachOtherAreRefused(t *testing.T) {
	l := lines(t)
	half := len(l) / 2
	again := func(first, second string) string {
		return strings.Join(slices.Concat([]string{first}, l[:half], []string{"", second}, l[:1], l[half:]), "\n") + "\n"
	}
	for _, second := range []string{"Right foot", "Right foot,,,,,,", "Sensor: 00B4A2", "gyroscope"} {
		set, err := told(t, again("Left foot", second))
		if err == nil {
			_, err = set.Tracks[0].Read(nil, func(*recording.Block) error { return nil })
		}
		require.EqualError(t, err, fmt.Sprintf("export.csv:%d: names another sensor before the heading comes again: what follows is another table", half+3), second)
		var e *recording.Error
		require.ErrorAs(t, err, &e)
		require.Equal(t, fmt.Sprintf("split the file before line %d and give both parts, each with its own heading", half+3), e.Hint)
	}
	for _, data := range []string{again("Sensor: 00B4A1", "Sensor: 00B4A1"), again("left", "logging started"), strings.ReplaceAll(again("left", "x"), "x\n", "")} {
		set, err := told(t, data)
		require.NoError(t, err)
		_, err = set.Tracks[0].Read(nil, func(*recording.Block) error { return nil })
		require.NoError(t, err)
	}
}

// Two files whose names differ in a pair of short words are left and right, with a doubt;
// one such word alone, or three files, tell nothing.
func TestFileNamesThatDifferInAPairOfShortWords(t *testing.T) {
	left, right := dialects.Swinging(200, 14, 0), dialects.Swinging(200, 14, 0.5)
	for names, want := range map[string]string{
		"Pied_g.csv Pied_d.csv": "left right", "runD_01.csv runG_01.csv": "right left", "esq.csv dir.csv": "left right", "zapato i.csv zapato d.csv": "left right",
		"left_vs_right_L.csv left_vs_right_R.csv": "left right",
		"run_g.csv walk_d.csv":                    "unknown unknown", "a.csv b.csv": "unknown unknown", "g_1.csv d_2.csv": "unknown unknown",
	} {
		var sources []recording.Source
		two := strings.Split(strings.ReplaceAll(names, ".csv ", ".csv\n"), "\n")
		d := dialects.Dialect{FileName: func(side string) string { return two[map[string]int{"left": 0, "right": 1}[side]] }}
		sources = append(sources, d.Sources(left, right)...)
		for i := range sources {
			sources[i].Side = recording.SideUnknown
		}
		set, err := recording.Open(t.Context(), sources, recording.Options{})
		require.NoError(t, err)
		require.Equal(t, want, set.Tracks[0].Side.String()+" "+set.Tracks[1].Side.String(), names)
		require.Len(t, with(texts(set), "by the one short word in which their names differ"), map[bool]int{true: 0, false: 1}[want == "unknown unknown"])
	}
}

// A name that holds both sides tells the one at the word for the site; else none, so that
// two feet do not come out as one.
func TestFileNamesThatHoldBothSides(t *testing.T) {
	rows := strings.Join(lines(t), "\n") + "\n"
	for name, want := range map[string]recording.Side{
		"injured right - left foot.csv": recording.Left, "injured right - right foot.csv": recording.Right, "left foot, injured right.csv": recording.Left, "right knee left-shoe.csv": recording.Left,
		"left_vs_right.csv": recording.SideUnknown, "left foot and right foot.csv": recording.SideUnknown, "right left.csv": recording.SideUnknown, "links voet links.csv": recording.Left,
	} {
		set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes(name, []byte(rows), recording.SideUnknown)}, recording.Options{})
		require.NoError(t, err)
		require.Equal(t, want, set.Tracks[0].Side, name)
	}
}
