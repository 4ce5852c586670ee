package verify

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/gen"
	"merestone/internal/guidance"
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
		{"with a row swallowed by a comment", replace("_circles[28] = {\n", "_circles[28] = {\n    // trees \\\n"), OtherPlan, ""},
		{"with a row swallowed by a comment, over a space", replace("_circles[28] = {\n", "_circles[28] = {\n    // trees \\ \n"), OtherPlan, ""},
		{"with a row swallowed by a comment, in Windows lines", strings.ReplaceAll(replace("_circles[28] = {\n", "_circles[28] = {\n    // trees \\\n"), "\n", "\r\n"), OtherPlan, ""},
		{"with a row swallowed by a trigraph", replace("_circles[28] = {\n", "_circles[28] = {\n    // trees ??/\n"), OtherPlan, ""},
		{"with a macro behind a carriage return", replace("_circles[28] = {\n", "_circles[28] = {\n    // trees\r#define MERE_INTERLOCK 0\r\n"), OtherPlan, ""},
		{"by an older tool, with a macro in other characters", in(older, "#include", "%:define MERE_INTERLOCK 0\n#include"), OtherPlan, ""},
		{"by an older tool, with the tables a second time", older + "static void f(void) {\n" + older[strings.Index(older, "static const mere_leg_t"):strings.LastIndex(older, "#endif")] + "}\n", OtherPlan, ""},
		{"with the name in its record edited", replace("\"walnut-grove-rows\",\n", "\"walnut-grove-cols\",\n"), Edited, "mission"},
		{"with a count beside a table edited", replace("3u, /* hold_count */", "2u, /* hold_count */"), Edited, ""},
		{"with the text of its record edited", replace("\"merestone-image\"", "\"merestone-imago\""), OtherPlan, ""},
		{"by an older tool that had another figure", in(older, "420u, /* look_ahead_mm */", "430u, /* look_ahead_mm */"), OtherTables, "rover, look_ahead_mm"},
		{"by an older tool, with a macro", in(older, "#include", "#define mere_high(a, b) 0\n#include"), OtherTables, "lines of the preprocessor"},
		{"by an older tool, with a count edited", in(older, "3u, /* hold_count */", "2u, /* hold_count */"), OtherTables, ""},
		{"of a slower plan", header(t, faster, tool), OtherPlan, "leg START–L1S, speed_mm_s"},
		{"of a slower plan, by an older tool", header(t, faster, "1.2.2"), OtherPlan, "leg START–L1S, speed_mm_s"},
		{"of a plan with another name in it", header(t, renamed, tool), OtherPlan, "what the digest covers beside the tables (names, marks, tapes, base, wiring)"},
		{"of another mission", header(t, resolve(t, "salt-pan"), tool), OtherPlan, "mission"},
		{"cut short", text[:len(text)/2], OtherPlan, ""},
		{"no header at all", "int main(void) { return 0; }\n", OtherPlan, ""},
		{"empty", "", OtherPlan, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r, err := Header(c.text, p, tool)
			require.NoError(t, err)
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

// Any figure of the code changed, comments left alone: never taken for the same
// plan.
func TestNoEditedFigureIsMissed(t *testing.T) {
	p := resolve(t, "walnut-grove")
	text := []byte(header(t, p, tool))
	comment := regexp.MustCompile(`(?s)/\*.*?\*/`)
	blank := comment.ReplaceAllFunc(text, func(c []byte) []byte { return bytes.Repeat([]byte(" "), len(c)) })
	var digits []int
	for _, at := range regexp.MustCompile(`[0-9]`).FindAllIndex(blank, -1) {
		digits = append(digits, at[0])
	}
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.SampledFrom(digits).Draw(t, "at")
		edited := bytes.Clone(text)
		edited[at] = '0' + (edited[at]-'0'+byte(rapid.IntRange(1, 9).Draw(t, "more")))%10
		r, err := Header(string(edited), p, tool)
		require.NoError(t, err)
		line := 1 + bytes.Count(text[:at], []byte("\n"))
		// An edited version of the tool is what it then says it is.
		if r.Verdict == OtherTool {
			assert.NotEqual(t, tool, r.Header.Tool)
			return
		}
		assert.False(t, r.Verdict.SamePlan(), "line %d: %v", line, r.Verdict)
	})
}

// The record is found in what real compilers build: with debug information that
// has the same text in it, with two source files that each have a copy, as ELF
// and as raw binary; and in no firmware without a mission.
func TestRecordsInFirmware(t *testing.T) {
	p := resolve(t, "walnut-grove")
	board, err := gen.Board(p, tool)
	require.NoError(t, err)
	dir := t.TempDir()
	files, err := gen.Files(p, tool)
	require.NoError(t, err)
	for _, f := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o644))
	}
	source := func(name, symbol, more string) {
		text := fmt.Sprintf("#include \"%s\"\nconst mere_mission_t *volatile %s = &%s_mission;\n%s\n", files[0].Name, symbol, p.Identifier, more)
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	source("one.c", "one", "int main(void) { return one == 0; }\nvoid _start(void) { (void)main(); for (;;) { } }")
	source("two.c", "two", "")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "none.c"), []byte("int main(void) { return 0; }\n"), 0o644))
	arm := []string{"-mcpu=cortex-m3", "-mthumb", "-nostdlib", "-g3", "-O2", "-fno-merge-constants"}
	run := func(name string, args ...string) {
		c := exec.Command(name, args...)
		c.Dir = dir
		out, err := c.CombinedOutput()
		require.NoError(t, err, "%s: %s", name, out)
	}
	run("arm-none-eabi-gcc", append(arm, "one.c", "two.c", "-o", "board.elf")...)
	run("arm-none-eabi-objcopy", "-O", "binary", "board.elf", "board.bin")
	run("arm-none-eabi-strip", "board.elf", "-o", "stripped.elf")
	run("gcc", "-nostartfiles", "-g3", "one.c", "-o", "host.elf")
	run("gcc", "none.c", "-o", "none.elf")
	for _, c := range []struct {
		file    string
		copies  int
		section string
	}{{"board.elf", 2, ".rodata"}, {"board.bin", 2, ""}, {"stripped.elf", 2, ".rodata"}, {"host.elf", 1, ""}} {
		data, err := os.ReadFile(filepath.Join(dir, c.file))
		require.NoError(t, err)
		found, err := Records(string(data))
		require.NoError(t, err)
		require.Len(t, found, 1, c.file)
		assert.Equal(t, board.Record, found[0].Record, c.file)
		assert.Len(t, found[0].Addresses, c.copies, c.file)
		if c.section != "" {
			assert.Equal(t, c.section, found[0].Section)
		}
	}
	data, err := os.ReadFile(filepath.Join(dir, "none.elf"))
	require.NoError(t, err)
	found, err := Records(string(data))
	require.NoError(t, err)
	assert.Empty(t, found)

	// The address in the ELF file is the symbol's, by nm.
	c := exec.Command("arm-none-eabi-nm", "board.elf")
	c.Dir = dir
	symbols, err := c.Output()
	require.NoError(t, err)
	elf, err := os.ReadFile(filepath.Join(dir, "board.elf"))
	require.NoError(t, err)
	found, err = Records(string(elf))
	require.NoError(t, err)
	for _, at := range found[0].Addresses {
		assert.Contains(t, string(symbols), fmt.Sprintf("%08x r %s_mission\n", at, p.Identifier))
	}

	record := func(found guidance.Record, p *plan.Plan, tool string) Report {
		board, err := gen.Board(p, tool)
		require.NoError(t, err)
		return Record(found, board.Record)
	}
	r := record(found[0].Record, p, tool)
	assert.Equal(t, Same, r.Verdict)
	r = record(found[0].Record, p, "9.9.9")
	assert.Equal(t, OtherTool, r.Verdict)
	edited := found[0].Record
	edited.Mission += "2"
	for version, want := range map[string]Verdict{tool: Edited, "9.9.9": OtherTables} {
		r = record(edited, p, version)
		assert.Equal(t, want, r.Verdict)
		assert.Len(t, r.Differences, 1)
	}
	r = record(found[0].Record, resolve(t, "salt-pan"), tool)
	assert.Equal(t, OtherPlan, r.Verdict)
}

// The text alone, as this program has it in itself, is no record.
func TestTextAloneIsNoRecord(t *testing.T) {
	for _, data := range [][]byte{
		magic(), append(magic(), make([]byte, 200)...), append(magic(), bytes.Repeat([]byte{1}, 200)...),
		[]byte("\x7fELF"), []byte("\x7fELF" + strings.Repeat("\x01", 300)), nil,
	} {
		found, _ := Records(string(data))
		assert.Empty(t, found)
	}
}
