package spec

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
)

// Merge keys as the YAML merge type has them: keys written in the block win,
// then those of the block that comes first.
func TestMergeKeys(t *testing.T) {
	text := strings.Replace(small(t), "marks:\n", `marks:
  P: &p {latitude: 1, longitude: 2, uncertainty: 1 cm}
  Q: &q {latitude: 3, longitude: 4, height: 5 m, uncertainty: 2 cm}
  R: {longitude: 6, <<: [*p, *q]}
  S:
    <<: *q
    height: 7 m
`, 1)
	result := Parse("mission.yaml", []byte(text), nil)
	require.Empty(t, printed(t, result))
	marks := map[string]Mark{}
	for _, mark := range result.Mission.Marks {
		marks[mark.Name] = mark
	}
	r, s := marks["R"], marks["S"]
	assert.Equal(t, "1 6 5 m 0.01 m", strings.Join([]string{r.Latitude.Value.String(), r.Longitude.Value.String(), r.Height.String(), r.Uncertainty.String()}, " "))
	assert.Equal(t, "3 4 7 m 0.02 m", strings.Join([]string{s.Latitude.Value.String(), s.Longitude.Value.String(), s.Height.String(), s.Uncertainty.String()}, " "))
}

func TestMergeKeysOfWhatIsNoBlock(t *testing.T) {
	for _, what := range []string{"5", "[1, 2]", "[{latitude: 1}, 2]"} {
		text := strings.Replace(small(t), "marks:\n", "marks:\n  <<: "+what+"\n", 1)
		result := Parse("mission.yaml", []byte(text), nil)
		assert.Equal(t, []diag.ID{"spec.wrong-type"}, rulesOf(result.Findings), what)
	}
}

// The latest anchor of a name before an alias is the one that it means.
func TestAnAnchorNameUsedAgain(t *testing.T) {
	text := strings.Replace(small(t), "  width: 0.42 m\n  length: 0.60 m", "  width: &size 0.42 m\n  length: *size\n  turn_radius: &size 0.10 m", 1)
	text = strings.Replace(text, "cross_track: 8 cm", "cross_track: *size", 1)
	result := Parse("mission.yaml", []byte(text), nil)
	require.Empty(t, printed(t, result))
	assert.Equal(t, cm(42), result.Mission.Rover.Length)
	assert.Equal(t, cm(10), result.Mission.Rover.CrossTrack)
}

func TestDirectivesAreAllowed(t *testing.T) {
	assert.Empty(t, Parse("mission.yaml", []byte("%YAML 1.2\n---\n"+small(t)+"...\n"), nil).Findings)
}
