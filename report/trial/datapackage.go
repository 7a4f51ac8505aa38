package trial

import (
	"os"
	"path/filepath"
)

// profiles of the Data Package standard, version 2.0.
const (
	packageProfile  = "https://datapackage.org/profiles/2.0/datapackage.json"
	resourceProfile = "https://datapackage.org/profiles/2.0/dataresource.json"
	dialectProfile  = "https://datapackage.org/profiles/2.0/tabledialect.json"
	schemaProfile   = "https://datapackage.org/profiles/2.0/tableschema.json"
)

// PackageName is the name of the description of the tables.
const PackageName = "datapackage.json"

// dataPackage is datapackage.json (Data Package 2.0).
type dataPackage struct {
	Profile     string     `json:"$schema"`
	Name        string     `json:"name"`
	Title       string     `json:"title"`
	Description string     `json:"description"`
	Version     string     `json:"version"`
	Resources   []resource `json:"resources"`
}

// resource is one file of a table.
type resource struct {
	Profile     string       `json:"$schema"`
	Name        string       `json:"name"`
	Type        string       `json:"type"`
	Path        string       `json:"path"`
	Title       string       `json:"title"`
	Description string       `json:"description"`
	Format      string       `json:"format"`
	MediaType   string       `json:"mediatype"`
	Encoding    string       `json:"encoding,omitempty"`
	Bytes       int64        `json:"bytes"`
	Hash        string       `json:"hash"`
	Dialect     *dialect     `json:"dialect,omitempty"`
	Schema      *tableSchema `json:"schema"`
}

// dialect is a Table Dialect.
type dialect struct {
	Profile        string `json:"$schema"`
	Header         bool   `json:"header"`
	Delimiter      string `json:"delimiter"`
	LineTerminator string `json:"lineTerminator"`
	QuoteChar      string `json:"quoteChar"`
	DoubleQuote    bool   `json:"doubleQuote"`
}

// tableSchema is a Table Schema.
type tableSchema struct {
	Profile       string       `json:"$schema"`
	Fields        []field      `json:"fields"`
	MissingValues []string     `json:"missingValues"`
	PrimaryKey    []string     `json:"primaryKey,omitempty"`
	ForeignKeys   []foreignKey `json:"foreignKeys,omitempty"`
}

// field is one column. Unit is an addition to the standard, which allows any.
type field struct {
	Name        string       `json:"name"`
	Type        Type         `json:"type"`
	Title       string       `json:"title"`
	Description string       `json:"description"`
	Unit        string       `json:"unit,omitempty"`
	Constraints *constraints `json:"constraints,omitempty"`
}

type constraints struct {
	Required bool     `json:"required,omitempty"`
	Enum     []string `json:"enum,omitempty"`
}

type foreignKey struct {
	Fields    []string  `json:"fields"`
	Reference reference `json:"reference"`
}

type reference struct {
	Resource string   `json:"resource"`
	Fields   []string `json:"fields"`
}

// schema describes the table.
func (s Sheet) schema() *tableSchema {
	out := &tableSchema{Profile: schemaProfile, MissingValues: []string{""}, PrimaryKey: s.Key}
	for _, c := range s.Columns {
		f := field{Name: c.Name, Type: c.Type, Title: c.Title, Description: c.Description, Unit: c.Unit}
		if c.Required || c.Enum != nil {
			f.Constraints = &constraints{c.Required, c.Enum}
		}
		out.Fields = append(out.Fields, f)
	}
	if s.Name != SessionsSheet {
		key := []string{"recording"}
		out.ForeignKeys = []foreignKey{{key, reference{SessionsSheet, key}}}
	}
	return out
}

// writePackage describes the tables that stand in dir.
func writePackage(dir, version string) error {
	p := dataPackage{
		Profile: packageProfile, Name: "setdown-trial", Title: "Forefoot lowering from foot sensors, a trial",
		Description: "Steps, sides, sessions, comparisons of sides and remarks of the recordings of a trial. See methods.md for how they were made.",
		Version:     version,
	}
	for _, s := range Sheets() {
		for _, kind := range []struct {
			format, media, suffix string
		}{{"csv", "text/csv", ""}, {"parquet", "application/vnd.apache.parquet", "-parquet"}} {
			path := s.Name + "." + kind.format
			sum, size, err := hashFile(filepath.Join(dir, path))
			if err != nil {
				return err
			}
			r := resource{Profile: resourceProfile, Name: s.Name + kind.suffix, Type: "table", Path: path, Title: s.Title, Description: s.Description,
				Format: kind.format, MediaType: kind.media, Bytes: size, Hash: "sha256:" + sum, Schema: s.schema()}
			if kind.format == "csv" {
				r.Encoding = "utf-8"
				r.Dialect = &dialect{dialectProfile, true, ",", "\n", `"`, true}
			}
			p.Resources = append(p.Resources, r)
		}
	}
	if err := os.Remove(filepath.Join(dir, PackageName)); err != nil && !os.IsNotExist(err) {
		return err
	}
	return writeJSON(filepath.Join(dir, PackageName), p)
}
