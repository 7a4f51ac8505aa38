package recording

import "context"

// Rows opens a source and returns a function that reads the rows of its first
// sensor without putting them on a grid.
func Rows(ctx context.Context, src Source) (func() error, error) {
	o, err := openAll(ctx, []Source{src}, Options{})
	if err != nil {
		return nil, err
	}
	f := o.drafts[0].feeds[0]
	return func() error { return f.rowsOf(nil, oneByOne(func(*row) error { return nil })) }, nil
}

// ParseNumber gives tests parseNumber.
func ParseNumber(cell []byte, dec byte) (float64, bool) { return parseNumber(cell, dec) }
