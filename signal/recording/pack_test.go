package recording_test

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// zipped packs files into an archive.
func zipped(t *testing.T, names []string, data func(string) io.Reader) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, n := range names {
		w, err := z.Create(n)
		require.NoError(t, err)
		_, err = io.Copy(w, data(n))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.Bytes()
}

func TestZipHoldsSeveralSensors(t *testing.T) {
	srcs := dialects.Dialect{}.Sources(dialects.Swinging(200, 5, 0), dialects.Swinging(200, 5, 0.5))
	data := zipped(t, []string{"run/left_foot.csv", "run/right_foot.csv", "__MACOSX/run/._left_foot.csv", "run/notes.md"}, func(name string) io.Reader {
		for _, s := range srcs {
			if strings.HasSuffix(name, "/"+s.Name) {
				r, err := s.Open()
				require.NoError(t, err)
				return r
			}
		}
		return strings.NewReader("no table")
	})
	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("run.zip", data, recording.SideUnknown)}, recording.Options{})
	require.NoError(t, err)
	require.Len(t, set.Tracks, 2)
	require.Equal(t, recording.Right, set.Tracks[1].Side)
	require.Equal(t, "run.zip/right_foot.csv", set.Tracks[1].Label)
	got, err := samplesOf(set.Tracks[1])
	require.NoError(t, err)
	require.Len(t, got, 1000)
}

// padded gives a recording of n bytes that is nearly all spaces.
func padded(n int64) io.Reader {
	return io.LimitReader(io.MultiReader(strings.NewReader("t,ax,ay,az\n"), &padding{}), n)
}

type padding struct {
	row  int
	rest []byte
}

func (p *padding) Read(b []byte) (int, error) {
	if len(p.rest) == 0 {
		p.rest = fmt.Appendf(nil, "%.3f,0,0,%s9.8\n", float64(p.row)/200, strings.Repeat(" ", 8000))
		p.row++
	}
	n := copy(b, p.rest)
	p.rest = p.rest[n:]
	return n, nil
}

func TestBombsAreDefused(t *testing.T) {
	if testing.Short() {
		t.Skip("packs 160 MiB")
	}
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, err := io.Copy(z, padded(80<<20))
	require.NoError(t, err)
	require.NoError(t, z.Close())
	for name, data := range map[string][]byte{
		"bomb.csv.gz": b.Bytes(),
		"bomb.zip":    zipped(t, []string{"a.csv"}, func(string) io.Reader { return padded(80 << 20) }),
	} {
		set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes(name, data, recording.Left)}, recording.Options{})
		if err == nil {
			_, err = set.Tracks[0].Read(nil, func(*recording.Block) error { return nil })
		}
		require.ErrorContains(t, err, "unpacks to more than 100 times its size", name)
	}
}

func TestDamagedPackingIsNamed(t *testing.T) {
	src := dialects.Dialect{Name: "gzip"}.Sources(dialects.Swinging(200, 5, 0), dialects.Swinging(200, 5, 0))[0]
	r, err := src.Open()
	require.NoError(t, err)
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, err = io.Copy(z, r)
	require.NoError(t, err)
	require.NoError(t, z.Close())
	data := b.Bytes()[:b.Len()-2000]
	_, err = recording.Open(t.Context(), []recording.Source{recording.Bytes("a.csv.gz", data, recording.Left)}, recording.Options{})
	require.EqualError(t, err, "a.csv.gz: damaged in packing: unexpected EOF")
	_, err = recording.Open(t.Context(), []recording.Source{recording.Bytes("a.zip", []byte("PK\x03\x04 and nothing"), recording.Left)}, recording.Options{})
	require.EqualError(t, err, "a.zip: damaged zip archive: zip: not a valid zip file")
	_, err = recording.Open(t.Context(), []recording.Source{recording.Bytes("a.zip", zipped(t, []string{"notes.md"}, func(string) io.Reader { return strings.NewReader("x") }), recording.Left)}, recording.Options{})
	require.EqualError(t, err, "a.zip: no .csv, .tsv or .txt file in the archive")
}

func TestStandardInputIsReadLikeAFile(t *testing.T) {
	src, err := recording.FromReader("standard input", strings.NewReader(strings.Join(lines(t), "\n")), recording.Left)
	require.NoError(t, err)
	set, err := recording.Open(t.Context(), []recording.Source{src}, recording.Options{})
	require.NoError(t, err)
	require.Equal(t, recording.Left, set.Tracks[0].Side)
	require.Equal(t, "given", set.Tracks[0].SideFrom)
}

// A phone's export: a folder a foot in one archive, a file a sensor, and files of other
// things beside them. Folders tell the side where names do not.
func TestAnArchiveOfFoldersWithOtherFilesIsRead(t *testing.T) {
	d := dialects.Dialect{Shape: dialects.SeparateFiles, AccHead: axisAlone, GyrHead: axisAlone, FileName: func(s string) string { return s + ".csv" }}
	var names []string
	data := map[string]string{}
	for _, src := range d.Sources(dialects.Swinging(200, 14, 0), dialects.Swinging(200, 14, 0.5)) {
		side, sensor, _ := strings.Cut(src.Name, "_")
		name := side + " shoe/" + map[string]string{"acc.csv": "Accelerometer.csv", "gyro.csv": "Gyroscope.csv"}[sensor]
		names = append(names, name)
		r, err := src.Open()
		require.NoError(t, err)
		b, err := io.ReadAll(r)
		require.NoError(t, err)
		data[name] = string(b)
	}
	magnet := "time_s,x,y,z\n"
	for i := range 300 {
		magnet += fmt.Sprintf("%.2f,20,%d,5\n", float64(i)/100, i)
	}
	for name, text := range map[string]string{"Metadata.csv": "device,epoch,platform\nphone 7,1709973000250,x\n", "left shoe/Magnetometer.csv": magnet, "README.txt": "How to read these files.\n", "left shoe/Orientation.csv": strings.Replace(magnet, "x,y,z", "yaw,qx,qy", 1)} {
		names = append(names, name)
		data[name] = text
	}
	slices.Sort(names)
	archive := zipped(t, names, func(name string) io.Reader { return strings.NewReader(data[name]) })
	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("export.zip", archive, recording.SideUnknown)}, recording.Options{})
	require.NoError(t, err)
	require.Len(t, set.Tracks, 2)
	for i, want := range []recording.Side{recording.Left, recording.Right} {
		require.Equal(t, want, set.Tracks[i].Side)
		require.Equal(t, recording.Foot, set.Tracks[i].Site)
		require.True(t, set.Tracks[i].HasAcc && set.Tracks[i].HasGyr)
	}
	require.Len(t, with(texts(set), "holds no accelerometer, gyroscope or step rate and was left aside"), 4)

	// What is called a foot's is none of these.
	words := []recording.Source{recording.Bytes("left_accelerometer.csv", []byte(data["left shoe/Accelerometer.csv"]), recording.SideUnknown), recording.Bytes("broken-right.csv", []byte("a letter\nof words\n"), recording.SideUnknown)}
	_, err = recording.Open(t.Context(), words, recording.Options{})
	require.ErrorContains(t, err, "broken-right.csv:1: no rows of numbers found")

	// Alone, such a file is refused as before; so is a large table that nothing is
	// known of, which may be a sensor's.
	_, err = recording.Open(t.Context(), []recording.Source{recording.Bytes("Metadata.csv", []byte(data["Metadata.csv"]), recording.SideUnknown)}, recording.Options{})
	require.ErrorContains(t, err, "no accelerometer, gyroscope or step rate among the columns device, epoch, platform")
	data["Metadata.csv"] = strings.Replace(magnet, "x,y,z", "u1,u2,u3", 1)
	archive = zipped(t, names, func(name string) io.Reader { return strings.NewReader(data[name]) })
	_, err = recording.Open(t.Context(), []recording.Source{recording.Bytes("export.zip", archive, recording.SideUnknown)}, recording.Options{})
	require.ErrorContains(t, err, "no accelerometer, gyroscope or step rate among the columns time_s, u1, u2, u3")
}

func axisAlone(axis string) string { return axis }

// Two files of one name are told apart by the folders that they do not share.
func TestFoldersTellTheSideThatNamesDoNot(t *testing.T) {
	root := filepath.Join(t.TempDir(), "left knee study")
	var sources []recording.Source
	plain := dialects.Dialect{}
	for i, src := range plain.Sources(dialects.Swinging(200, 14, 0), dialects.Swinging(200, 14, 0.5)) {
		dir := filepath.Join(root, "S01", []string{"foot_L", "foot_R"}[i], "export")
		require.NoError(t, os.MkdirAll(dir, 0o755))
		r, err := src.Open()
		require.NoError(t, err)
		b, err := io.ReadAll(r)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "imu.csv"), b, 0o644))
		sources = append(sources, recording.File(filepath.Join(dir, "imu.csv"), recording.SideUnknown))
	}
	set, err := recording.Open(t.Context(), sources, recording.Options{})
	require.NoError(t, err)
	require.Equal(t, recording.Left, set.Tracks[0].Side)
	require.Equal(t, recording.Right, set.Tracks[1].Side)
	set, err = recording.Open(t.Context(), sources[:1], recording.Options{})
	require.NoError(t, err)
	require.Equal(t, recording.SideUnknown, set.Tracks[0].Side, "what all share tells nothing")
}
