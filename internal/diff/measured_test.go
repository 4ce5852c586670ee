// Marks that follow others, in the sketch of the documentation.
package diff

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/missiontest"
)

func sketch(t *testing.T, edits ...missiontest.Edit) mission {
	t.Helper()
	return resolve("sketch", missiontest.Text(t, "../../testdata/sketch/mission.yaml", edits...))
}

func TestMeasuredMarksAreComparedByWhatIsSaid(t *testing.T) {
	for _, c := range []struct {
		edit          missiontest.Edit
		subject, what string
		kind          Kind
	}{
		{missiontest.Edit{"F3: {east: 25.00 m, north: 18.00 m", "F3: {east: 25.00 m, north: 18.20 m"}, "mark F3", "north", Neutral},
		{missiontest.Edit{"bearing: 225 deg", "bearing: 226 deg"}, "mark C", "bearing", Neutral},
		{missiontest.Edit{"bearing_uncertainty: 0.5 deg", "bearing_uncertainty: 0.4 deg"}, "mark C", "uncertainty of the bearing", Loosens},
		{missiontest.Edit{"distance: 4.24 m, distance_uncertainty: 2 cm}\n  D", "distance: 4.24 m, distance_uncertainty: 3 cm}\n  D"}, "mark C", "uncertainty of the distance", Tightens},
		{missiontest.Edit{"B: {from: F2, towards: F1, chainage: 3.00 m", "B: {from: F2, towards: F1, chainage: 3.10 m"}, "mark B", "chainage", Neutral},
		{missiontest.Edit{"B: {from: F2, towards: F1", "B: {from: F2, towards: F4"}, "mark B", "along the line towards", Look},
		{missiontest.Edit{"A: {from: F1, east: 3.00 m, north: 3.00 m, uncertainty: 2 cm}", "A: {from: F1, towards: F2, chainage: 3.00 m, right: -3.00 m, uncertainty: 2 cm}"}, "mark A", "given", Look},
		{missiontest.Edit{"A: {from: F1, east: 3.00 m, north: 3.00 m, uncertainty: 2 cm}", "A: {latitude: 51.620426963, longitude: 25.913743316, uncertainty: 2 cm}"}, "mark A", "given", Look},
		{missiontest.Edit{"{from: F2, distance: 21.26 m", "{from: F2, distance: 21.27 m"}, "mark TREE", "tapes", Look},
		{missiontest.Edit{"name: BUSH, count: 5", "name: BUSH, count: 4"}, "row BUSH", "marks", Neutral},
		{missiontest.Edit{"widths: [3.00 m]", "widths: [3.10 m]"}, "ring SHED", "widths", Neutral},
		{missiontest.Edit{"widths: [3.00 m], side: left, uncertainty: 3 cm", "widths: [3.00 m], side: left, uncertainty: 2 cm"}, "ring SHED", "uncertainty", Loosens},
		{missiontest.Edit{"rows:\n  - {name: BUSH, count: 5, from: F4, towards: F3, first: 4.50 m, step: 4.00 m, right: 0.60 m, uncertainty: 5 cm}\n", ""}, "row BUSH", "removed", Neutral},
	} {
		r := compare(sketch(t), sketch(t, c.edit))
		found := find(r.Changes, c.subject, c.what)
		require.Len(t, found, 1, "%s %s: %s", c.subject, c.what, printed(t, r))
		assert.Equal(t, c.kind, found[0].Kind, c.edit[1])
		assert.Empty(t, find(r.Changes, "mark BUSH5", "removed"), "it went with its row")
		if c.kind != Neutral { // whose effects are judged where they show
			back := find(compare(sketch(t, c.edit), sketch(t)).Changes, c.subject, c.what)
			require.Len(t, back, 1)
			assert.Equal(t, c.kind.Reverse(), back[0].Kind)
		}
	}
}

// A corner that moved takes five bushes along, told in one line, and what that means for
// the fence is judged under it.
func TestFollowersAreToldTogether(t *testing.T) {
	r := compare(sketch(t), sketch(t, missiontest.Edit{"F4: {east: 0 m, north: 18.00 m", "F4: {east: 0 m, north: 17.96 m"}))
	text := printed(t, r)
	follow := find(r.Changes, "marks D, TREE, BUSH1 to BUSH5", "follow by up to")
	require.Len(t, follow, 1, text)
	assert.InDelta(t, 0.04, follow[0].Move.DistanceM, 0.02)
	assert.Equal(t, 1, strings.Count(text, "BUSH1"), "in one line:\n%s", text)
	require.Len(t, r.Changes, 1, "all of it is under what was changed:\n%s", text)
	assert.Equal(t, "mark F4", r.Changes[0].Subject)
	assert.True(t, r.Looser() || r.Count(Tightens) > 0 || r.ToLookAt(), text)
}

// A mark that follows nearer to the fence loosens, or is to be looked at: nothing of it is
// hidden by the mark that it follows.
func TestFollowingHidesNothing(t *testing.T) {
	before := sketch(t)
	nearer := compare(before, sketch(t, missiontest.Edit{"chainage: 9.00 m, right: -7.00 m", "chainage: 4.00 m, right: -7.00 m"}))
	text := printed(t, nearer)
	assert.Positive(t, nearer.Count(Loosens)+nearer.Count(Look), text)
	// Known worse, by the mark that it hangs on: the standoffs grow, and so it is said.
	worse := compare(before, sketch(t, missiontest.Edit{"F1: {east: 0 m, north: 0 m, uncertainty: 1 cm}", "F1: {east: 0 m, north: 0 m, uncertainty: 4 cm}"}))
	text = printed(t, worse)
	assert.Contains(t, text, "known to at worst, one standard deviation")
	assert.NotEmpty(t, find(worse.Changes, "mark F1", "uncertainty"), text)
	assert.Contains(t, text, "standoff", text)
	// In figures that somebody can read: 53.9 mm is no multiple of a power of two.
	better := compare(before, sketch(t, missiontest.Edit{"right: 0.60 m, uncertainty: 5 cm", "right: 0.60 m, uncertainty: 1 cm"}))
	known := find(better.Changes, "marks BUSH1 to BUSH5", "known to at worst, one standard deviation")
	require.Len(t, known, 1, printed(t, better))
	assert.Equal(t, "0.0539 m", known[0].Before)
	assert.Equal(t, 0.0224, known[0].Number.After)
	assert.Len(t, find(better.Changes, "row BUSH", "uncertainty"), 1)
}
