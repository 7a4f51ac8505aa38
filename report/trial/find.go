package trial

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
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
		p.How, p.Pattern = "pattern", opt.Pattern
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
// lexical order. Hidden files and folders, those in skip and the results of an
// earlier batch are passed over, and so are links to folders and what is no file:
// a link may lead back to where it stands, and a pipe never ends. The root itself
// may be a link.
func (p *Plan) walk(skip []string, visit func(path string)) error {
	root, err := filepath.EvalSymlinks(p.Root)
	if err != nil {
		return err
	}
	w := walker{plan: p, root: root, visit: visit}
	for _, s := range skip {
		if info, err := os.Stat(s); err == nil {
			w.skip = append(w.skip, info)
		}
	}
	return filepath.WalkDir(root, w.step)
}

// walker is one walk through a trial's folder.
type walker struct {
	plan  *Plan
	root  string
	skip  []fs.FileInfo
	visit func(path string)
}

// step takes one file or folder in.
func (w *walker) step(name string, d fs.DirEntry, err error) error {
	rel, relErr := filepath.Rel(w.root, name)
	if relErr != nil {
		return relErr
	}
	rel = filepath.ToSlash(rel)
	switch {
	case err != nil:
		w.plan.doubt(rel, 0, "cannot be read: %v", cause(err))
	case name == w.root:
	case strings.HasPrefix(d.Name(), "."):
		if d.IsDir() {
			return filepath.SkipDir
		}
	case d.IsDir():
		return w.folder(name, rel)
	case d.Type().IsRegular():
		w.visit(rel)
	default:
		w.odd(name, rel)
	}
	return nil
}

// folder says whether a folder is looked into.
func (w *walker) folder(name, rel string) error {
	info, err := os.Stat(name)
	if err == nil && w.skips(info) {
		return filepath.SkipDir
	}
	if _, err := readPlan(name); err == nil {
		w.plan.doubt(rel, 0, "left out: it holds what an earlier batch wrote, not recordings")
		return filepath.SkipDir
	}
	return nil
}

// odd takes in a link or what else is neither a file nor a folder. A link that
// leads nowhere is a file that cannot be read, which is said when it is opened.
func (w *walker) odd(name, rel string) {
	info, err := os.Stat(name)
	switch {
	case err == nil && info.IsDir():
		if !w.skips(info) {
			w.plan.doubt(rel, 0, "left out: links to folders are not followed; name the files behind it in %s", ManifestName)
		}
	case err == nil && !info.Mode().IsRegular():
		w.plan.doubt(rel, 0, "left out: it is no file that can be read twice; save the recording in one")
	default:
		w.visit(rel)
	}
}

func (w *walker) skips(info fs.FileInfo) bool {
	return slices.ContainsFunc(w.skip, func(s fs.FileInfo) bool { return os.SameFile(s, info) })
}

// relative returns a path below the root with slashes, however each of the two was
// written; where there is no way from one to the other (two drives), the whole path.
func (p *Plan) relative(name string) string {
	root, err1 := filepath.Abs(p.Root)
	whole, err2 := filepath.Abs(name)
	rel, err3 := filepath.Rel(root, whole)
	if errors.Join(err1, err2, err3) != nil {
		return filepath.ToSlash(whole)
	}
	return filepath.ToSlash(rel)
}

// abs is the way to a path of the plan.
func (p *Plan) abs(rel string) string {
	rel = filepath.FromSlash(rel)
	if filepath.IsAbs(rel) {
		return rel
	}
	return filepath.Join(p.Root, rel)
}

// cause is the reason within an error of the file system, without the path.
func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
