package trial

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/parquet-go/parquet-go"

	"setdown/report/table"
)

// Sizes of what a table holds in memory while it is written.
const (
	rowsAtOnce   = 256       // rows handed to the Parquet writer at a time
	rowsPerGroup = 16 * 1024 // rows of a Parquet row group
)

// sheetWriter writes one table as CSV and Parquet, row by row. Both come from
// the same cells, so that they cannot disagree.
type sheetWriter struct {
	sheet   Sheet
	csvFile *os.File
	csv     *bufio.Writer
	line    []byte
	parFile *os.File
	par     *parquet.GenericWriter[any]
	rows    []parquet.Row
}

// newSheetWriter creates NAME.csv and NAME.parquet in dir.
func newSheetWriter(dir string, s Sheet) (*sheetWriter, error) {
	csvFile, err := os.Create(filepath.Join(dir, s.Name+".csv"))
	if err != nil {
		return nil, err
	}
	parFile, err := os.Create(filepath.Join(dir, s.Name+".parquet"))
	if err != nil {
		csvFile.Close()
		return nil, err
	}
	w := &sheetWriter{sheet: s, csvFile: csvFile, csv: bufio.NewWriterSize(csvFile, 1<<16), parFile: parFile}
	w.par = parquet.NewGenericWriter[any](parFile, parquetOptions(s)...)
	for i, c := range s.Columns {
		if i > 0 {
			w.line = append(w.line, ',')
		}
		w.line = append(w.line, c.Name...)
	}
	w.endLine()
	return w, nil
}

func (w *sheetWriter) endLine() {
	w.line = append(w.line, '\n')
	_, _ = w.csv.Write(w.line) // the writer keeps its first error
	w.line = w.line[:0]
}

// write writes one row. Empty cells are "not there". Text cells are bare: the
// CSV guards them against spreadsheets, Parquet needs no guard.
func (w *sheetWriter) write(cells []string) error {
	w.sheet.check(cells)
	for i, cell := range cells {
		if i > 0 {
			w.line = append(w.line, ',')
		}
		if w.sheet.Columns[i].Type == Text {
			w.line = appendCell(w.line, table.Guard(cell))
		} else {
			w.line = append(w.line, cell...)
		}
	}
	w.endLine()
	if err := w.addRow(cells); err != nil {
		return err
	}
	if len(w.rows) == rowsAtOnce {
		return w.flush()
	}
	return nil
}

// appendCell quotes a text as RFC 4180 says, where it must be.
func appendCell(dst []byte, text string) []byte {
	if !strings.ContainsAny(text, ",\"\r\n") {
		return append(dst, text...)
	}
	dst = append(dst, '"')
	dst = append(dst, strings.ReplaceAll(text, `"`, `""`)...)
	return append(dst, '"')
}

// flush hands the rows to the Parquet writer.
func (w *sheetWriter) flush() error {
	if _, err := w.par.WriteRows(w.rows); err != nil {
		return err
	}
	w.rows = w.rows[:0]
	return nil
}

// close ends both files.
func (w *sheetWriter) close() error {
	err := w.flush()
	return errors.Join(err, w.par.Close(), w.parFile.Close(), w.csv.Flush(), w.csvFile.Close())
}

// addRow adds the cells as values of their types to the rows that wait. The
// writer keeps none of them, so that they are used again.
func (w *sheetWriter) addRow(cells []string) error {
	n := len(w.rows)
	rows := slices.Grow(w.rows, 1)[:n+1]
	row := rows[n][:0]
	for i, cell := range cells {
		c := &w.sheet.Columns[i]
		v, err := parquetValue(c.Type, cell)
		if err != nil {
			return fmt.Errorf("table %s, column %s: %w", w.sheet.Name, c.Name, err)
		}
		row = append(row, v.Level(0, defined(cell, c), i))
	}
	rows[n] = row
	w.rows = rows // only now: a row that is not whole is never written
	return nil
}

// defined is the definition level: 0 for an absent value of an optional column
// and for every value of a required one.
func defined(cell string, c *Column) int {
	if cell == "" || c.Required {
		return 0
	}
	return 1
}

func parquetValue(t Type, cell string) (parquet.Value, error) {
	if cell == "" {
		return parquet.NullValue(), nil
	}
	switch t {
	case Integer:
		v, err := strconv.ParseInt(cell, 10, 64)
		return parquet.Int64Value(v), err
	case Decimal:
		v, err := strconv.ParseFloat(cell, 64)
		return parquet.DoubleValue(v), err
	case Boolean:
		v, err := strconv.ParseBool(cell)
		return parquet.BooleanValue(v), err
	}
	return parquet.ByteArrayValue([]byte(cell)), nil
}

// orderedGroup is a group whose fields keep the order of the columns; the
// library's own sorts them by name.
type orderedGroup struct {
	parquet.Group
	order []string
}

func (g orderedGroup) Fields() []parquet.Field {
	byName := map[string]parquet.Field{}
	for _, f := range g.Group.Fields() {
		byName[f.Name()] = f
	}
	out := make([]parquet.Field, len(g.order))
	for i, name := range g.order {
		out[i] = byName[name]
	}
	return out
}

// The keys of a Parquet file's metadata: the table's description as a Table
// Schema, and the unit of each column under unitKey + its name.
const (
	schemaKey = "table_schema"
	unitKey   = "unit:"
)

// parquetOptions are the schema and the metadata of a table.
func parquetOptions(s Sheet) []parquet.WriterOption {
	g := orderedGroup{Group: parquet.Group{}}
	text, err := json.Marshal(s.schema())
	if err != nil {
		panic("trial: " + err.Error())
	}
	options := []parquet.WriterOption{
		parquet.Compression(&parquet.Snappy), parquet.MaxRowsPerRowGroup(rowsPerGroup),
		parquet.CreatedBy("setdown", "", ""), parquet.KeyValueMetadata(schemaKey, string(text)),
	}
	for _, c := range s.Columns {
		g.Group[c.Name] = c.node()
		g.order = append(g.order, c.Name)
		if c.Unit != "" {
			options = append(options, parquet.KeyValueMetadata(unitKey+c.Name, c.Unit))
		}
	}
	return append(options, parquet.NewSchema(s.Name, g))
}

// node is the column's place in the Parquet schema.
func (c Column) node() parquet.Node {
	var n parquet.Node
	switch c.Type {
	case Integer:
		n = parquet.Int(64)
	case Decimal:
		n = parquet.Leaf(parquet.DoubleType)
	case Boolean:
		n = parquet.Leaf(parquet.BooleanType)
	default:
		n = parquet.Encoded(parquet.String(), &parquet.RLEDictionary)
	}
	if !c.Required {
		n = parquet.Optional(n)
	}
	return n
}
