package gait

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/simulate"
	"setdown/signal/recording"
)

// at returns the track as one of a sensor at another place, as a wrong name says it.
func at(t *recording.Track, site recording.Site) *recording.Track {
	c := *t
	c.Site = site
	return recording.NewTrack(c, t.Read)
}

// Open walks were recorded on feet and shins, and say which: taken as they say, nothing
// is said about it; with a shin given as a foot no lowering comes of it, and a foot given
// as a shin is doubted.
func TestOpenRecordingsSitWhereTheySay(t *testing.T) {
	for name, track := range footRecordings(t) {
		require.Empty(t, coded(analyzeSet(t, track), NotAFoot), name)
		if _, err := Analyze(t.Context(), &recording.Set{Tracks: []*recording.Track{at(track, recording.Shin)}}, Settings{Seed: 1}); err == nil {
			res := analyzeSet(t, at(track, recording.Shin))
			require.Len(t, coded(res, NotAShin), 1, name)
			for _, s := range res.Steps {
				require.False(t, s.Used, name)
			}
		}
	}
	shins, err := filepath.Glob(filepath.Join(openData(t), "treadmill-walk-feet-shins", "*", "*shank.csv"))
	require.NoError(t, err)
	require.Len(t, shins, 4)
	for _, file := range shins {
		set, err := recording.Open(t.Context(), []recording.Source{recording.File(file, recording.Left)}, recording.Options{})
		require.NoError(t, err)
		require.Empty(t, coded(analyzeSet(t, set.Tracks[0]), NotAShin), file)
		for _, site := range []recording.Site{recording.Foot, recording.SiteUnknown} {
			res := analyzeSet(t, at(set.Tracks[0], site))
			require.Len(t, coded(res, NotAFoot), 1, file)
			require.Empty(t, lowered(res), file)
		}
	}
}

// The same for simulated people of all kinds, forefoot strikers among them: a foot that
// lands on its toes has its heel down for a moment only.
func TestSimulatedFeetRestAsFeetDo(t *testing.T) {
	type told struct{ foot, shin, shinAsFoot bool }
	for i, got := range parallel(effort(400, 40, 8), func(i int) told {
		s := simulate.Draw(uint64(drawnSeed + i))
		s.Duration = 40
		s.Left.Shin = simulate.DefaultShin()
		s.Left.Shin.Rate = max(200, s.Left.Foot.Rate)
		rec := simulate.Run(s.CleanClocks())
		foot, shin := rec.Track(recording.Left, recording.Foot), rec.Track(recording.Left, recording.Shin)
		out := told{foot: len(coded(analyzeSet(t, foot), NotAFoot)) > 0, shin: len(coded(analyzeSet(t, shin), NotAShin)) > 0}
		res, err := Analyze(t.Context(), &recording.Set{Tracks: []*recording.Track{at(shin, recording.Foot)}}, Settings{Seed: 1})
		out.shinAsFoot = err != nil || len(lowered(res)) == 0
		return out
	}) {
		require.Equal(t, told{false, false, true}, got, "seed %d", drawnSeed+i)
	}
}
