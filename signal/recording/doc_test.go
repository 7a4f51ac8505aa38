package recording

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// csvExample is a block in docs/csv.md with the line under it.
var csvExample = regexp.MustCompile("(?s)```csv\n(.*?)```\n([^\n]+)\n")

func TestExamplesOfTheManualAreReadAsItSays(t *testing.T) {
	doc, err := os.ReadFile("../../docs/csv.md")
	require.NoError(t, err)
	found := csvExample.FindAllStringSubmatch(string(doc), -1)
	require.GreaterOrEqual(t, len(found), 10)
	for _, m := range found {
		require.Equal(t, m[2], understood(t, m[1]), m[1])
	}
}

func TestMappingOfTheManualIsRead(t *testing.T) {
	doc, err := os.ReadFile("../../docs/csv.md")
	require.NoError(t, err)
	m := regexp.MustCompile("(?s)```columns\n(.*?)```").FindStringSubmatch(string(doc))
	require.NotNil(t, m)
	got, err := ParseMapping("columns.txt", strings.NewReader(m[1]))
	require.NoError(t, err)
	require.Len(t, got.Columns, 3)
	require.Equal(t, 200.0, got.Rate)
	require.Equal(t, MappedColumn{Line: 6, Side: Left, Site: Foot, Role: "acc_x", Column: "AX", Unit: "g", Scale: 0.0005}, got.Columns[1])
}

// understood tells in one line how a table is read, before its values are
// looked at.
func understood(t *testing.T, text string) string {
	o := newOpener(&Options{CadenceCounts: CountsUnknown})
	fs, err := files(Bytes("x.csv", []byte(text), SideUnknown))
	require.NoError(t, err)
	lines, err := fs[0].head()
	require.NoError(t, err)
	l, err := o.layoutOf(fs[0], lines, nil)
	require.NoError(t, err)
	require.NoError(t, o.sensors(l))
	parts := []string{nameOf(delimNames, l.s.delim) + ", " + nameOf(decimalNames, l.s.decimal)}
	if len(o.watches) > 0 {
		c := o.set.Cadences[0].Mapping
		return strings.Join(append(parts, "time ["+c[0].Unit+"]", "step rate from "+strings.TrimSuffix(c[1].Unit, "/min")), "; ")
	}
	for i, d := range l.drafts {
		for _, f := range d.feeds {
			require.NoError(t, l.decideTime(f))
		}
		if i == 0 {
			parts = append(parts, timeWords(l, d.feeds[0]))
		}
		parts = append(parts, sensorWords(d))
	}
	return strings.Join(parts, "; ")
}

func timeWords(l *layout, f *feed) string {
	p := f.time
	if p.counter {
		return fmt.Sprintf("counter at %g Hz", p.div)
	}
	s := "time"
	if p.col < 0 {
		return fmt.Sprintf("no time at %g Hz", p.div)
	}
	if u := l.cols[p.col].unit.Symbol; u != "" {
		s += " [" + u + "]"
	}
	if p.absolute {
		cells := l.firstCells(p.col)
		first := 0.0
		if p.kind == timeNumber {
			first, _ = p.number([]byte(cells[0]), l.s.decimal)
		}
		s += " from " + p.instant().Add(time.Duration(first*1e9)).Format(time.RFC3339Nano)
	}
	return s
}

func sensorWords(d *draft) string {
	var words []string
	if d.side != SideUnknown {
		words = append(words, d.side.String())
	}
	if d.site != SiteUnknown {
		words = append(words, d.site.String())
	}
	for s, name := range []string{"acc", "gyr"} {
		for i, f := range d.feeds {
			if f.axes(3*s) == 0 {
				continue
			}
			c := d.cols[i][indexOfRole(d.cols[i], 3*s)]
			u := "?"
			if c.stated {
				u = c.unit.Symbol
			}
			words = append(words, name+" ["+u+"]")
		}
	}
	return strings.Join(words, " ")
}
