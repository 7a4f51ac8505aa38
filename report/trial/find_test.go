package trial_test

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/report/trial"
)

// listed is an item in one line for each file.
func listed(p *trial.Plan) []string {
	var out []string
	for _, it := range p.Items {
		for _, f := range it.Files {
			side := f.Side
			if f.Companion {
				side = "headings"
			}
			out = append(out, it.ID+" "+it.Injured+" "+side+" "+f.Path)
		}
	}
	return out
}

func doubts(p *trial.Plan) []string {
	var out []string
	for _, d := range p.Doubts {
		out = append(out, d.String())
	}
	return out
}

func TestFilesThatDifferInTheSideOnlyAreOneRecording(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"a_left.csv", "a_right.csv", "b/left_foot.csv", "b/right_foot.csv", "b/truth.csv", "c.csv.gz", "d_left.XLSX", "notes.md", ".hidden.csv"} {
		put(t, dir, name, []byte("x"))
	}
	p := find(t, dir)
	require.Equal(t, "file names", p.How)
	require.Equal(t, []string{"sub-a  left a_left.csv", "sub-a  right a_right.csv", "sub-b  left b/left_foot.csv",
		"sub-b  right b/right_foot.csv", "sub-c   c.csv.gz"}, listed(p))
	require.Equal(t, []string{"b/truth.csv: left out: the name is that of reference events, not of a recording",
		"d_left.XLSX: left out: .xlsx files are not read; save the recording as CSV"}, doubts(p))
}

func TestTheFilesBesideEveryRecordingDoNotHideTheOneThatIsMissing(t *testing.T) {
	var all []trial.Doubt
	for _, dir := range []string{"a", "b", "c"} {
		all = append(all, trial.Doubt{Path: dir + "/truth.csv", Text: "does not fit"})
	}
	all = append(all, trial.Doubt{Path: "z/links.csv", Text: "no side"}, trial.Doubt{Path: "manifest.csv", Line: 7, Text: "no side"})
	require.Equal(t, []string{"z/links.csv: no side", "manifest.csv:7: no side", "a/truth.csv and 2 more of that name: does not fit"}, trial.DoubtLines(all))
	require.Empty(t, trial.DoubtLines(nil))
}

// A German trial must not come apart into single feet: what one file's name says is
// understood in analyze.
func TestSidesOfOtherLanguagesAreSides(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"a_links.csv", "a_Rechts.csv", "b/fuss_gauche.csv", "b/fuss_droite.csv"} {
		put(t, dir, name, []byte("x"))
	}
	p := find(t, dir)
	require.Equal(t, []string{"sub-a  right a_Rechts.csv", "sub-a  left a_links.csv", "sub-b-fuss  right b/fuss_droite.csv", "sub-b-fuss  left b/fuss_gauche.csv"}, listed(p))
	p, err := trial.Find(dir, trial.FindOptions{Pattern: "{subject}_{side}.csv"})
	require.NoError(t, err)
	require.Empty(t, doubts(p))
}

// Entities are those of the open standard BIDS (bids-specification.readthedocs.io,
// file name structure; from memory); a date of the calendar (ISO 8601) is a session.
func TestDatesAndEntitiesInNamesAreLabels(t *testing.T) {
	for path, want := range map[string]string{
		"A01_2026-01-10_left.csv":               "A01|2026-01-10||",
		"A01_20260110_left_foot.csv":            "A01|2026-01-10||",
		"2026-01-10 A01 right.csv":              "A01|2026-01-10||",
		"A01/2026-01-10/left.csv":               "A01|2026-01-10||",
		"2026-01-10_left.csv":                   "1|2026-01-10||",
		"left.csv":                              "1|||",
		"A01_20261310_left.csv":                 "A01_20261310|||",
		"A01_12026011_left.csv":                 "A01_12026011|||",
		"A01_2026-01-10_2026-01-11_left.csv":    "A01_2026_01_10_2026_01_11|||",
		"sub-07_ses-post_left.csv":              "07|post||",
		"sub-07/ses-2/run-1_task-easy_left.csv": "07|2|easy|1",
		"sub-07_ses-2_barefoot_left.csv":        "07_barefoot|2||",
		"sub-07_2026-01-10_left.csv":            "07|2026-01-10||",
		"subject-7_left.csv":                    "subject_7|||",
	} {
		dir := t.TempDir()
		put(t, dir, path, []byte("x"))
		p := find(t, dir)
		require.Len(t, p.Items, 1, path)
		it := p.Items[0]
		require.Equal(t, want, strings.Join([]string{it.Subject, it.Session, it.Condition, it.Run}, "|"), path)
	}
}

// A trial is found from within its folder too, with no folder for the results named.
func TestATrialIsFoundFromWithin(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "a_left.csv", []byte("x"))
	t.Chdir(dir)
	p, err := trial.Find(".", trial.FindOptions{Skip: []string{""}})
	require.NoError(t, err)
	require.Len(t, p.Items, 1)
}

func TestPatternsNameSubjectsAndSides(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"s1_pre_L.csv", "s1_pre_R.csv", "s1_post_L.csv", "s2_pre_X.csv", "other.csv", "s3_pre_L.fit", "notes.md", "a/truth.csv"} {
		put(t, dir, name, []byte("x"))
	}
	p, err := trial.Find(dir, trial.FindOptions{Pattern: "{subject}_{session}_{side}.csv"})
	require.NoError(t, err)
	require.Equal(t, []string{"sub-s1_ses-post  left s1_post_L.csv", "sub-s1_ses-pre  left s1_pre_L.csv", "sub-s1_ses-pre  right s1_pre_R.csv"}, listed(p))
	require.Equal(t, []string{"a/truth.csv: left out: the name is that of reference events, not of a recording",
		"other.csv: does not fit the pattern {subject}_{session}_{side}.csv", `s2_pre_X.csv: "X" is not a side; use left or right`,
		"s3_pre_L.fit: left out: .fit files are not read; save the recording as CSV"}, doubts(p))

	for pattern, want := range map[string]string{
		"{subject}_{foot}.csv":    "{foot} is not known",
		"{session}_{side}.csv":    "{subject} is missing",
		"{subject}_{subject}.csv": "stands twice",
	} {
		_, err := trial.Find(dir, trial.FindOptions{Pattern: pattern})
		require.ErrorContains(t, err, want)
	}
	_, err = trial.Find(dir, trial.FindOptions{Pattern: "{subject}.nothing"})
	require.ErrorIs(t, err, trial.ErrNothingFound)
}

func TestPatternsMayHoldFolders(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "s1/pre/left.csv", nil)
	p, err := trial.Find(dir, trial.FindOptions{Pattern: "{subject}/{session}/{side}.csv"})
	require.NoError(t, err)
	require.Equal(t, []string{"sub-s1_ses-pre  left s1/pre/left.csv"}, listed(p))
}

func TestManifestSaysWhatIsWhat(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"x.csv", "y.csv", "z.csv"} {
		put(t, dir, name, nil)
	}
	put(t, dir, "manifest.csv", []byte("\ufeffSubject,session,side,injured,file,shoe\n"+
		"1,A,left,right,x.csv,old\n1,A,right,right,y.csv,new\n\"2\n\",A,,,z.csv,\n3,A,upper,,u.csv,\n4,A,,maybe,v.csv,\n,A,,,w.csv,\n"))
	p := find(t, dir)
	require.Equal(t, "manifest", p.How)
	require.Equal(t, []string{"sub-1_ses-A right left x.csv", "sub-1_ses-A right right y.csv", "sub-2_ses-A   z.csv"}, listed(p))
	// The line break within quotes puts a count of records off by one.
	require.Equal(t, []string{
		`manifest.csv:1: column "shoe" is not known and was not used; known are subject, session, condition, run, side, injured, file`,
		`manifest.csv:6: column "side": "upper" is not a side; the row was left out`,
		`manifest.csv:7: column "injured": "maybe" is not left, right, both or unknown; the row was left out`,
		`manifest.csv:8: no subject or no file; the row was left out`}, doubts(p))
}

func TestManifestHeadingsAreCheckedByHand(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"missing column": {"subject,session\n1,A\n", `manifest.csv:1: no column "file"`},
		"repeated":       {"subject,file,file\n1,a.csv,b.csv\n", `manifest.csv:1: column "file" is there twice`},
		"empty":          {"", "manifest.csv:1: empty"},
		"ragged":         {"subject,file\n1\n", "manifest.csv:2: not as many cells as there are headings"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			put(t, dir, "manifest.csv", []byte(c.text))
			_, err := trial.Find(dir, trial.FindOptions{})
			require.ErrorContains(t, err, c.want)
			require.ErrorIs(t, err, trial.ErrManifest)
		})
	}
}

func TestRowsThatDisagreeAboutTheInjuredSideAreUnknown(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "x.csv", nil)
	put(t, dir, "y.csv", nil)
	put(t, dir, "manifest.csv", []byte("subject,side,injured,file\n1,left,left,x.csv\n1,right,right,y.csv\n"))
	p := find(t, dir)
	require.Equal(t, "unknown", p.Items[0].Injured)
	require.Len(t, p.Doubts, 1)
}

// The names are those of the standard (Motion-BIDS, BIDS 1.10).
func TestMotionBIDS(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "dataset_description.json", []byte(`{"Name":"x","BIDSVersion":"1.10.0"}`))
	put(t, dir, "participants.tsv", []byte("participant_id\tinjured\nsub-1\tleft\nsub-2\tn/a\nsub-3\tknee\n"))
	channels := []byte("name\tcomponent\ttype\ttracked_point\tunits\na\tx\tACCEL\tleftFoot\tg\n")
	for _, stem := range []string{"sub-1/ses-a/motion/sub-1_ses-a_task-run_tracksys-imuL", "sub-1/ses-a/motion/sub-1_ses-a_task-run_tracksys-imuR", "sub-2/motion/sub-2_task-run_tracksys-imu_run-2"} {
		put(t, dir, stem+"_motion.tsv", []byte("1\n"))
		put(t, dir, stem+"_channels.tsv", channels)
		put(t, dir, stem+"_motion.json", []byte("{}"))
	}
	put(t, dir, "sub-2/motion/sub-2_task-run_tracksys-imu_run-2_events.tsv", []byte("onset\tduration\n1\t0\n2\t0\n"))
	put(t, dir, "sub-2/motion/sub-2_task-run_tracksys-optical_run-2_motion.tsv", []byte("1\n"))
	put(t, dir, "sub-2/motion/sub-2_task-run_tracksys-optical_run-2_channels.tsv", []byte("name\tcomponent\ttype\na\tx\tPOS\n"))
	put(t, dir, "derivatives/x/sub-1_task-run_tracksys-imu_motion.tsv", []byte("1\n"))
	p := find(t, dir)
	require.Equal(t, "Motion-BIDS", p.How)
	require.Len(t, p.Items, 2)
	one, two := p.Items[0], p.Items[1]
	require.Equal(t, "sub-1_ses-a_task-run", one.ID)
	require.Equal(t, []string{"sub-1", "ses-a", "run", "", "left"}, []string{one.Subject, one.Session, one.Condition, one.Run, one.Injured})
	require.Len(t, one.Files, 6)
	require.Equal(t, "sub-2_task-run_run-2", two.ID)
	require.Equal(t, 2, two.Events)
	require.Len(t, p.Doubts, 2)
}

func TestLabelsThatCollideAsFileNamesStayApart(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "manifest.csv", []byte("subject,file\nAnn,a.csv\nann,b.csv\nä/../ö,c.csv\n"))
	p := find(t, dir)
	ids := map[string]bool{}
	for _, it := range p.Items {
		ids[it.ID] = true
		require.Equal(t, it.ID, filepath.Base(it.ID))
	}
	require.Equal(t, map[string]bool{"sub-Ann": true, "sub-ann_2": true, "recording": true}, ids)
}
