// Large and hostile input: what a mission may have is read quickly, and what it
// may not have is refused before it can take time or memory.
package spec

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/board"
	"merestone/internal/diag"
)

// rulesOf are the ids of the findings, each once, in order.
func rulesOf(findings []diag.Finding) []diag.ID {
	var ids []diag.ID
	seen := map[diag.ID]bool{}
	for _, f := range findings {
		if !seen[f.Rule] {
			seen[f.Rule] = true
			ids = append(ids, f.Rule)
		}
	}
	return ids
}

func small(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("testdata/cases/good/mission.yaml")
	require.NoError(t, err)
	return string(text)
}

func TestAHundredThousandMarksOfAFile(t *testing.T) {
	var csv strings.Builder
	csv.WriteString("name,latitude,longitude,height,uncertainty\n")
	for i := range maxMarks - 6 { // the mission has six of its own
		fmt.Fprintf(&csv, "P%d,45.3%08d,6.1%08d,412.%02d m,2 cm\n", i, i, i, i%100)
	}
	mission := strings.Replace(small(t), "route:", "marks_file: marks.csv\nroute:", 1)
	open := func(string) ([]byte, error) { return []byte(csv.String()), nil }
	result := Parse("mission.yaml", []byte(mission), open)
	require.Empty(t, result.Findings)
	require.Len(t, result.Mission.Marks, maxMarks)
	last := result.Mission.Marks[maxMarks-1]
	assert.Equal(t, "P99993", last.Name)
	assert.EqualValues(t, int64(45_300_099_993), last.Latitude.Value/1)
	csv.WriteString("Q1,45,6,,\nQ2,45,6,,\n")
	result = Parse("mission.yaml", []byte(mission), open)
	require.Equal(t, []diag.ID{"spec.too-many-marks"}, rulesOf(result.Findings))
	assert.Equal(t, maxMarks-6+2, result.Findings[0].At.Line)
}

func TestManyWaypoints(t *testing.T) {
	list := "[" + strings.Repeat("A, {mark: B, speed: 0.3 m/s, dwell: 1 s}, ", maxWaypoints/2) + "]"
	mission := strings.Replace(small(t), "[A, B]", list, 1)
	require.LessOrEqual(t, len(mission), MaxFileBytes)
	result := Parse("mission.yaml", []byte(mission), nil)
	require.Empty(t, result.Findings)
	require.Len(t, result.Mission.Route.Waypoints, maxWaypoints)
	result = Parse("mission.yaml", []byte(strings.Replace(mission, "]", "A]", 1)), nil)
	assert.Equal(t, []diag.ID{"spec.out-of-range"}, rulesOf(result.Findings))
}

func TestManyMisspeltMarks(t *testing.T) {
	mission := strings.Replace(small(t), "[A, B]", "["+strings.Repeat("Ax, ", maxWaypoints)+"]", 1)
	result := Parse("mission.yaml", []byte(mission), nil)
	require.Len(t, result.Findings, 1, "one name, told once")
	assert.Equal(t, fmt.Sprintf("there is no mark \"Ax\", which is used in %d places", maxWaypoints), result.Findings[0].Message())
	assert.Len(t, result.Findings[0].Related, maxUses)

	var names strings.Builder
	for i := range maxWaypoints {
		fmt.Fprintf(&names, "A%d, ", i)
	}
	mission = strings.Replace(small(t), "[A, B]", "["+names.String()+"]", 1)
	result = Parse("mission.yaml", []byte(mission), nil)
	require.Len(t, result.Findings, 1, "as many names have one cause")
	assert.Equal(t, fmt.Sprintf(`there is no mark "A0"; nor are there A1, A2, A3, A4 and %d more`, maxWaypoints-5), result.Findings[0].Message())
}

func TestRoutesAndNamesFitTheBoard(t *testing.T) {
	assert.LessOrEqual(t, maxWaypoints, board.MaxLegs, "a closed route has a leg for each")
	assert.Less(t, maxMissionName, board.MissionNameSize, "with a zero behind it")
}

func TestSizeLimits(t *testing.T) {
	mission := small(t)
	padded := mission + strings.Repeat("#", MaxFileBytes-len(mission))
	assert.Empty(t, Parse("mission.yaml", []byte(padded), nil).Findings)
	tooLarge := Parse("mission.yaml", []byte(padded+"#"), nil)
	assert.Equal(t, []diag.ID{"spec.too-large"}, rulesOf(tooLarge.Findings))
	assert.Nil(t, tooLarge.Mission)

	mission = strings.Replace(mission, "route:", "marks_file: marks.csv\nroute:", 1)
	csv := "name,latitude,longitude\nC,1,2\n"
	csv += "#" + strings.Repeat("x", MaxMarksFileBytes-len(csv)-1)
	assert.Empty(t, Parse("mission.yaml", []byte(mission), func(string) ([]byte, error) { return []byte(csv), nil }).Findings)
	csv += "x"
	result := Parse("mission.yaml", []byte(mission), func(string) ([]byte, error) { return []byte(csv), nil })
	assert.Equal(t, []diag.ID{"spec.too-large"}, rulesOf(result.Findings))
	assert.Equal(t, diag.Position{File: "marks.csv"}, result.Findings[0].At)
}

func TestMarksFileNames(t *testing.T) {
	for name, wanted := range map[string]string{
		"marks.csv": "marks.csv", "./marks.csv": "marks.csv", "a/b/marks.csv": "a/b/marks.csv", "a//marks.csv": "a/marks.csv",
		"/marks.csv": "", "../marks.csv": "", "a/../marks.csv": "", "a/..": "", "..": "", ".": "", "a/": "", `C:\marks.csv`: "", `C:marks.csv`: "", "mission.yaml": "",
	} {
		opened := ""
		text := strings.Replace(small(t), "route:", "marks_file: '"+name+"'\nroute:", 1)
		result := Parse("site/mission.yaml", []byte(text), func(file string) ([]byte, error) {
			opened = file
			return []byte("name,latitude,longitude\nC,1,2\n"), nil
		})
		assert.Equal(t, wanted, opened, name)
		assert.Equal(t, wanted == "", len(result.Findings) > 0, name)
	}
}

// What is wrong in a marks_file is told under the name by which the mission was
// called, and its marks_file is found from there.
func TestMarksFileIsNamedBesideItsMission(t *testing.T) {
	for mission, wanted := range map[string]string{
		"mission.yaml": "marks/m.csv", "./mission.yaml": "marks/m.csv", "a/mission.yaml": "a/marks/m.csv", "../mission.yaml": "../marks/m.csv",
		`a\b/mission.yaml`: `a\b/marks/m.csv`, "/a/mission.yaml": "/a/marks/m.csv", "C:/a/mission.yaml": "C:/a/marks/m.csv", "C:/mission.yaml": "C:/marks/m.csv",
		"//server/share/mission.yaml": "//server/share/marks/m.csv", "<stdin>": "marks/m.csv",
	} {
		text := strings.Replace(small(t), "route:", "marks_file: marks/m.csv\nroute:", 1)
		result := Parse(mission, []byte(text), func(file string) ([]byte, error) {
			assert.Equal(t, "marks/m.csv", file)
			return []byte("name,latitude,longitude\nC,1\n"), nil
		})
		require.Len(t, result.Findings, 1, mission)
		assert.Equal(t, wanted, result.Findings[0].At.File, mission)
	}
}

func TestAnUnreadableMarksFile(t *testing.T) {
	text := strings.Replace(small(t), "route:", "marks_file: marks.csv\nroute:", 1)
	result := Parse("mission.yaml", []byte(text), func(string) ([]byte, error) { return nil, errors.New("the disk is on fire") })
	require.Equal(t, []diag.ID{"spec.bad-file"}, rulesOf(result.Findings))
	assert.Contains(t, result.Findings[0].Message(), "the disk is on fire")
	assert.Equal(t, []diag.ID{"spec.bad-file"}, rulesOf(Parse("mission.yaml", []byte(text), nil).Findings))
}
