// Headers against plans.
package verify

import (
	"math/rand/v2"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/missiontest"
	"merestone/internal/plan"
)

const tool = "1.2.3"

// resolve resolves an example, with passages of its text replaced.
func resolve(t require.TestingT, name string, edits ...missiontest.Edit) *plan.Plan {
	return missiontest.Resolve(t, missiontest.Example(t, name), edits...)
}

func header(t require.TestingT, p *plan.Plan, tool string) string {
	files, err := gen.Files(p, tool)
	require.NoError(t, err)
	return string(files[0].Data)
}

// What is read out of a header is what the plan put in.
func TestHeadersReadBack(t *testing.T) {
	for _, path := range missiontest.Examples(t) {
		p := missiontest.Resolve(t, path)
		board, err := gen.Board(p, tool)
		require.NoError(t, err)
		read, err := ReadHeader(header(t, p, tool))
		require.NoError(t, err)
		assert.Equal(t, board, read, path)
	}
}

func TestVerdicts(t *testing.T) {
	p := resolve(t, "walnut-grove")
	text := header(t, p, tool)
	faster := resolve(t, "walnut-grove", missiontest.Edit{"speed: 0.42 m/s", "speed: 0.40 m/s"})
	renamed := resolve(t, "walnut-grove", missiontest.Edit{"name: water tank", "name: tank"})
	in := func(text, from, to string) string {
		require.Contains(t, text, from)
		return strings.Replace(text, from, to, 1)
	}
	replace := func(from, to string) string { return in(text, from, to) }
	older := header(t, p, "1.2.2")
	cases := []struct {
		name, text string
		want       Verdict
		where      string // of a difference
	}{
		{"as written", text, Same, ""},
		{"by an older tool", older, OtherTool, ""},
		{"with Windows line ends", strings.ReplaceAll(text, "\n", "\r\n"), OtherText, ""},
		{"with a comment edited", replace("by merestone", "by Merestone"), OtherText, ""},
		{"with a figure in a comment edited", replace("0.42 m wide", "0.40 m wide"), OtherText, ""},
		{"with a look-ahead edited", replace("420u, /* look_ahead_mm */", "320u, /* look_ahead_mm */"), Edited, "rover, look_ahead_mm"},
		{"with a speed edited", replace("0u, 300u,  91u, 376u, 2279u,", "0u, 400u,  91u, 376u, 2279u,"), Edited, "leg L1S–P1, speed_mm_s"},
		{"with a fence edge edited", replace("38400, -11200,", "38400, -11300,"), Edited, "fence edge 2 of the table, north_mm"},
		{"with a hold edited", replace("MERE_EMERGENCY_STOP", "MERE_INTERLOCK"), Edited, "hold contact 1 of the table, kind"},
		{"with a count in an enum edited", replace("_hold_thumb_switch = 2", "_hold_thumb_switch = 0"), Edited, "constant walnut_grove_rows_hold_thumb_switch"},
		{"with a macro added", replace("#include \"merestone_guidance.h\"", "#include \"merestone_guidance.h\"\n#define MERE_EMERGENCY_STOP MERE_INTERLOCK"), Edited, "lines of the preprocessor"},
		{"with code added", text + "static int more;\n", Edited, "code"},
		{"with a row swallowed by a comment", replace("_circles[28] = {\n", "_circles[28] = {\n    // trees \\\n"), NoHeader, ""},
		{"with a row swallowed by a comment, over a space", replace("_circles[28] = {\n", "_circles[28] = {\n    // trees \\ \n"), NoHeader, ""},
		{"with a row swallowed by a comment, in Windows lines", strings.ReplaceAll(replace("_circles[28] = {\n", "_circles[28] = {\n    // trees \\\n"), "\n", "\r\n"), NoHeader, ""},
		{"with a row swallowed by a trigraph", replace("_circles[28] = {\n", "_circles[28] = {\n    // trees ??/\n"), NoHeader, ""},
		{"with a macro behind a carriage return", replace("_circles[28] = {\n", "_circles[28] = {\n    // trees\r#define MERE_INTERLOCK 0\r\n"), NoHeader, ""},
		{"by an older tool, with a macro in other characters", in(older, "#include", "%:define MERE_INTERLOCK 0\n#include"), NoHeader, ""},
		{"by an older tool, with the tables a second time", older + "static void f(void) {\n" + older[strings.Index(older, "static const mere_leg_t"):strings.LastIndex(older, "#endif")] + "}\n", NoHeader, ""},
		{"with the name in its record edited", replace("\"walnut-grove-rows\",\n", "\"walnut-grove-cols\",\n"), Edited, "mission"},
		{"with a count beside a table edited", replace("3u, /* hold_count */", "2u, /* hold_count */"), Edited, ""},
		{"with the text of its record edited", replace("\"merestone-image\"", "\"merestone-imago\""), NoHeader, ""},
		{"by an older tool that had another figure", in(older, "420u, /* look_ahead_mm */", "430u, /* look_ahead_mm */"), OtherTables, "rover, look_ahead_mm"},
		{"by an older tool, with a macro", in(older, "#include", "#define mere_high(a, b) 0\n#include"), OtherTables, "lines of the preprocessor"},
		{"by an older tool, with code added", older + "static int more;\n", OtherTables, "code"},
		{"by an older tool, with a row of a check less", in(older, "typedef char walnut_grove_rows_check_legs[(sizeof(mere_leg_t) == 32u) ? 1 : -1];\n", ""), OtherTables, "code"},
		{"by an older tool, with the name of a table exchanged", strings.ReplaceAll(older, "walnut_grove_rows_nodes", "walnut_grove_rows_knots"), OtherTables, "code"},
		{"with a definition swallowed by a comment of the preprocessor", replace("#include \"merestone_guidance.h\"\n\nenum walnut_grove_rows_count {", "#include \"merestone_guidance.h\" /*\n*/ enum walnut_grove_rows_count {"), NoHeader, ""},
		{"with a line behind a comment of the preprocessor", replace("#define WALNUT_GROVE_ROWS_MISSION_H\n", "#define WALNUT_GROVE_ROWS_MISSION_H /* */ static\n"), NoHeader, ""},
		{"with a comment of later C", replace("{12920,  1440,", "{12920,  1440, // east, north\n"), OtherText, ""},
		{"with a comment that is a division in C90", replace("{12920,  1440,", "{12920,  1440 //* */ 2\n,"), NoHeader, ""},
		{"with a zero byte", replace("CAUTIONS", "CAUTIONS\x00"), NoHeader, ""},
		{"with a form feed", replace("CAUTIONS", "CAUTIONS\f"), NoHeader, ""},
		{"with an end of file in the middle", replace("CAUTIONS", "CAUTIONS\x1a"), NoHeader, ""},
		{"with a letter of another alphabet", replace("CAUTIONS", "CAUTI\u041eNS"), NoHeader, ""},
		{"with marks that turn the text", replace("CAUTIONS", "\u202eCAUTIONS"), NoHeader, ""},
		{"with a bracket in other characters", strings.Replace(replace("_legs[11]", "_legs<:11]"), "] = {", ":> = {", 1), NoHeader, ""},
		{"with a tool too long for its record", strings.Replace(text, "        \"1.2.3\"", "        \""+strings.Repeat("1", 32)+"\"", 1), NoHeader, ""},
		{"by an older tool, with a count edited", in(older, "3u, /* hold_count */", "2u, /* hold_count */"), OtherTables, ""},
		{"of a slower plan", header(t, faster, tool), OtherPlan, "leg START–L1S, speed_mm_s"},
		{"of a slower plan, by an older tool", header(t, faster, "1.2.2"), OtherPlan, "leg START–L1S, speed_mm_s"},
		{"of a plan with another name in it", header(t, renamed, tool), OtherPlan, "what the digest covers beside the tables (names, marks, tapes, base, wiring)"},
		{"of another mission", header(t, resolve(t, "salt-pan"), tool), OtherPlan, "mission"},
		{"cut short", text[:len(text)/2], NoHeader, ""},
		{"no header at all", "int main(void) { return 0; }\n", NoHeader, ""},
		{"empty", "", NoHeader, ""},
	}
	own, err := compiled(p, tool)
	require.NoError(t, err)
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := own.compare(c.text)
			assert.Equal(t, c.want, r.Verdict, "%v %v", r.Differences, r.Unreadable)
			var where []string
			for _, d := range r.Differences {
				where = append(where, d.Where)
			}
			if c.where == "" {
				assert.Empty(t, where)
			} else {
				assert.Contains(t, where, c.where)
			}
		})
	}
}

// Every token of the code changed, left out, written twice, exchanged with the next:
// never taken for the same plan, nor for the same functions. Comments are left alone.
// All of it with MERESTONE_EVERY_TOKEN set, otherwise one change of each token of a data
// header in turn, and of every seventh of the guidance header.
func TestEveryTokenCounts(t *testing.T) {
	for _, example := range []string{"walnut-grove", "running-track"} {
		p := resolve(t, example)
		own, err := compiled(p, tool)
		require.NoError(t, err)
		guidance := own.guidance
		random, whole := rand.New(rand.NewPCG(2, 2)), os.Getenv("MERESTONE_EVERY_TOKEN") != ""
		for _, text := range []string{own.data, guidance} {
			if text == guidance && example != "walnut-grove" {
				continue // it is the same
			}
			all := tokensOf(t, text)
			require.Greater(t, len(all), 500)
			for i, at := range all {
				if !whole && text == guidance && i%7 != 0 {
					continue
				}
				token, next := text[at[0]:at[1]], ""
				gap := ""
				if i+1 < len(all) {
					next, gap = text[all[i+1][0]:all[i+1][1]], text[at[1]:all[i+1][0]]
				}
				byte := at[0] + random.IntN(len(token))
				edits := []string{
					text[:at[0]] + text[at[1]:],
					text[:at[1]] + " " + token + text[at[1]:],
					text[:byte] + string(other(text[byte], random)) + text[byte+1:],
				}
				if next != "" && next != token {
					edits = append(edits, text[:at[0]]+next+gap+token+text[all[i+1][1]:])
				}
				if !whole {
					edits = edits[i%len(edits):][:1]
				}
				for _, edited := range edits {
					line := 1 + strings.Count(text[:at[0]], "\n")
					if text == guidance {
						assert.False(t, sameCode(edited, guidance), "line %d, %q", line, token)
						continue
					}
					r := own.compare(edited)
					if r.Verdict == OtherTool {
						assert.NotEqual(t, tool, r.Header.Tool) // an edited version is what it says it is
						continue
					}
					assert.False(t, r.Verdict.SamePlan(), "line %d, %q: %v", line, token, r.Verdict)
				}
			}
		}
	}
}

// other is another character of the kind that makes the difference hard to see: a
// digit for a digit, a letter for a letter.
func other(c byte, random *rand.Rand) byte {
	for _, all := range []string{"0123456789", "abcdefghijklmnopqrstuvwxyz", "ABCDEFGHIJKLMNOPQRSTUVWXYZ", "(){}[],;=-+*<>&|~_.:?!\" "} {
		if i := strings.IndexByte(all, c); i >= 0 {
			return all[(i+1+random.IntN(len(all)-1))%len(all)]
		}
	}
	return '~'
}

// tokensOf are the places of words and marks outside of comments, found in another
// way than the reader's.
func tokensOf(t *testing.T, text string) [][]int {
	blank := regexp.MustCompile(`(?s)/\*.*?\*/`).ReplaceAllStringFunc(text, func(c string) string { return strings.Repeat(" ", len(c)) })
	require.NotContains(t, blank, "//")
	return regexp.MustCompile(`"[^"]*"|\w+|[^\w\s]`).FindAllStringIndex(blank, -1)
}
