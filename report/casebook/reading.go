package casebook

import (
	"context"
	"strings"

	"setdown/signal/recording"
)

// columnsName stands in messages about a text of columns.
const columnsName = "columns"

// Options turns what was said about all files into options of reading. The
// error is about the text of the columns or about a word that is unknown.
func (r Reading) Options() (recording.Options, error) {
	opt := recording.Options{Rate: r.Rate}
	var err error
	if opt.CadenceCounts, err = recording.ParseCadenceCounts(r.CadenceCounts); err != nil || r.Columns == "" {
		return opt, err
	}
	opt.Mapping, err = recording.ParseMapping(columnsName, strings.NewReader(r.Columns))
	return opt, err
}

// Sources gives each source what was said about its file alone.
func (r Reading) Sources(sources []recording.Source) ([]recording.Source, error) {
	out := append([]recording.Source(nil), sources...)
	for i := range out {
		text := r.Files[out[i].Name]
		if text == "" {
			continue
		}
		m, err := recording.ParseMapping(columnsName+" of "+out[i].Name, strings.NewReader(text))
		if err != nil {
			return nil, err
		}
		out[i].Mapping = m
	}
	return out, nil
}

// Open opens sources the way r says.
func (r Reading) Open(ctx context.Context, sources []recording.Source) (*recording.Set, error) {
	opt, err := r.Options()
	if err != nil {
		return nil, err
	}
	if sources, err = r.Sources(sources); err != nil {
		return nil, err
	}
	return recording.Open(ctx, sources, opt)
}
