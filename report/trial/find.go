package trial

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// ManifestName is the manifest that Find looks for in the trial's folder.
const ManifestName = "manifest.csv"

// FindOptions say how recordings are found. The zero value decides by what is
// in the folder: a Motion-BIDS data set, then a manifest, then file names.
type FindOptions struct {
	// Manifest is the path of a manifest CSV; "" looks for ManifestName.
	Manifest string
	// Pattern is a file-name pattern such as "{subject}_{session}_{side}.csv".
	Pattern string
	// Skip lists folders that are not looked into, such as the output folder.
	Skip []string
}

// ErrNothingFound is returned, with the plan, where no recording was found.
var ErrNothingFound = errors.New("no recording found")

// Find lists the recordings of a trial's folder without opening them. The plan
// is returned with ErrNothingFound too, because its doubts say what was there.
func Find(root string, opt FindOptions) (*Plan, error) {
	if info, err := os.Stat(root); err != nil {
		return nil, err
	} else if !info.IsDir() {
		return nil, fmt.Errorf("%s: is a file, not a folder of recordings", root)
	}
	p := &Plan{Root: root, Items: []Item{}, Doubts: []Doubt{}}
	if err := p.find(opt); err != nil {
		return nil, err
	}
	p.name()
	if len(p.Items) == 0 {
		return p, fmt.Errorf("%s: %w (looked by %s)", root, ErrNothingFound, p.How)
	}
	return p, nil
}

// find chooses the way.
func (p *Plan) find(opt FindOptions) error {
	switch {
	case opt.Pattern != "" && opt.Manifest != "":
		return errors.New("a pattern and a manifest were given; one of them says which files belong together")
	case opt.Pattern != "":
		p.How = "pattern"
		return p.byPattern(opt)
	case opt.Manifest != "":
		p.How = "manifest"
		return p.byManifest(opt.Manifest)
	case exists(filepath.Join(p.Root, "dataset_description.json")):
		p.How = "Motion-BIDS"
		return p.byBIDS()
	case exists(filepath.Join(p.Root, ManifestName)):
		p.How = "manifest"
		return p.byManifest(filepath.Join(p.Root, ManifestName))
	}
	p.How = "file names"
	return p.byNames(opt)
}

func exists(name string) bool {
	_, err := os.Stat(name)
	return err == nil
}

// doubt notes something that was not understood.
func (p *Plan) doubt(path string, line int, format string, args ...any) {
	p.Doubts = append(p.Doubts, Doubt{path, line, fmt.Sprintf(format, args...)})
}

// walk calls visit with the slash path, below the root, of every file in
// lexical order. Hidden files and folders and those in skip are passed over.
func (p *Plan) walk(skip []string, visit func(path string)) error {
	skipped := map[string]bool{}
	for _, s := range skip {
		if abs, err := filepath.Abs(s); err == nil && s != "" { // Abs("") is the folder one stands in
			skipped[abs] = true
		}
	}
	return filepath.WalkDir(p.Root, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			p.doubt(p.relative(name), 0, "cannot be read: %v", cause(err))
			return nil
		}
		hidden := strings.HasPrefix(d.Name(), ".") && name != p.Root
		if d.IsDir() {
			abs, err := filepath.Abs(name)
			if hidden || err == nil && skipped[abs] {
				return filepath.SkipDir
			}
			return nil
		}
		if !hidden {
			visit(p.relative(name))
		}
		return nil
	})
}

// relative returns a path below the root with slashes.
func (p *Plan) relative(name string) string {
	rel, err := filepath.Rel(p.Root, name)
	if err != nil {
		return filepath.Base(name)
	}
	return filepath.ToSlash(rel)
}

// cause is the reason within an error of the file system, without the path.
func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
