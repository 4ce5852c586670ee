// docs/firmware.md is true: its tables have every value of the header's enumerations,
// every member and every function, and its code compiles and drives.
package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/templates"
)

// firmwarePage is the page, with what it shows under the headings of its tables.
type firmwarePage struct {
	t    *testing.T
	text string
}

func readFirmwarePage(t *testing.T) firmwarePage {
	t.Helper()
	text, err := os.ReadFile("docs/firmware.md")
	require.NoError(t, err)
	return firmwarePage{t, string(text)}
}

// table is the rows of the tables whose first line is this, cell by cell, without
// quotation marks of code.
func (p firmwarePage) table(head string) [][]string {
	p.t.Helper()
	var rows [][]string
	for _, part := range strings.Split(p.text, "\n"+head+"\n")[1:] {
		for _, line := range strings.Split(part, "\n")[1:] { // behind the rule
			if !strings.HasPrefix(line, "| ") {
				break
			}
			var cells []string
			for _, cell := range strings.Split(strings.Trim(line, "|"), "|") {
				cells = append(cells, strings.Trim(strings.TrimSpace(cell), "`"))
			}
			require.Len(p.t, cells, strings.Count(head, "|")-1, line)
			rows = append(rows, cells)
		}
	}
	require.NotEmpty(p.t, rows, head)
	return rows
}

// column is one column of a table.
func column(rows [][]string, n int) []string {
	var cells []string
	for _, row := range rows {
		cells = append(cells, row[n])
	}
	return cells
}

// guidanceHeader is its text.
func guidanceHeader(t *testing.T) string {
	t.Helper()
	text, err := templates.Files.ReadFile("merestone_guidance.h")
	require.NoError(t, err)
	return string(text)
}

// within is what the header has between two passages.
func within(t *testing.T, begin, end string) string {
	t.Helper()
	_, rest, ok := strings.Cut(guidanceHeader(t), begin)
	require.True(t, ok, begin)
	text, _, ok := strings.Cut(rest, end)
	require.True(t, ok, end)
	return text
}

// found are the first groups of a pattern in a text.
func found(text, pattern string) []string {
	var all []string
	for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(text, -1) {
		all = append(all, m[1])
	}
	return all
}

// enumerators of the enumeration that ends or begins so.
func enumerators(t *testing.T, begin, end string) []string {
	t.Helper()
	names := found(within(t, begin, end), `(?m)^ +(MERE_\w+) =`)
	require.NotEmpty(t, names, begin)
	return names
}

func TestFirmwarePageHasEveryValue(t *testing.T) {
	page := readFirmwarePage(t)
	const enum = "typedef enum {\n"
	before := func(name string) string { // the one that ends in this name
		text := within(t, "\n", "} "+name+";")
		return text[strings.LastIndex(text, enum)+len(enum):]
	}
	names := func(text string) []string { return found(text, `(?m)^ +(MERE_\w+) =`) }

	reasons := page.table("| reason | in words | what it means | what a person does |")
	assert.Equal(t, enumerators(t, "enum mere_reason {", "};"), column(reasons, 0))
	assert.Len(t, reasons, 24)
	said := found(within(t, "texts[MERE_REASON_COUNT] = {", "};"), `"([^"]+)"`)
	assert.Equal(t, said, column(reasons, 1))

	assert.Equal(t, enumerators(t, "enum mere_event {", "};"), column(page.table("| event | what happened | what to do with it |"), 0))
	assert.Equal(t, names(before("mere_phase_t")), column(page.table("| phase | what it means | what a person does |"), 0))
	assert.Equal(t, names(before("mere_progress_t")), column(page.table("| progress | the rover is to stand |"), 0))

	digits := page.table("| digit | quality | what it is |")
	assert.Equal(t, found(within(t, "qualities[10] = {", "};"), `(MERE_\w+)`), column(digits, 1))
	assert.Equal(t, strings.Fields("0 1 2 3 4 5 6 7 8 9"), column(digits, 0))
	assert.Subset(t, column(digits, 1), names(before("mere_quality_t")))

	members := func(name string) []string {
		text := within(t, "\n", "} "+name+";")
		return found(text[strings.LastIndex(text, "typedef struct {"):], `(?m)^    \w+ (\w+);`)
	}
	both := page.table("| member | unit and range | what it is |")
	assert.Equal(t, append(members("mere_input_t"), members("mere_output_t")...), column(both, 0))

	functions := found(within(t, " * 6. Functions\n", " * 7. Numbers (private)"), `(?m)^static inline [\w *]*?(mere_\w+)\(`)
	assert.Len(t, functions, 18)
	assert.Equal(t, functions, column(page.table("| function | when | by |"), 0))

	for _, rows := range [][][]string{reasons, both, digits} {
		for _, row := range rows {
			assert.NotEmpty(t, row[len(row)-1], row[0])
		}
	}
}

// The figures of the page are the header's own.
func TestFirmwarePageHasTheFiguresOfTheHeader(t *testing.T) {
	plain := func(text string) string {
		return strings.Join(strings.Fields(strings.ReplaceAll(text, " * ", " ")), " ")
	}
	page, header := plain(readFirmwarePage(t).text), plain(guidanceHeader(t))
	for _, figure := range []string{
		"12.1 kB of code (7.9 kB with -Os) and 0.7 kB of constants", "280 bytes at most (330 with -Os)", "typically 940",
		"-90e9 to 90e9", "-180e9 to 180e9", "-18000 to 17999", "above 65535 as 65535",
	} {
		assert.Contains(t, header, figure)
		assert.Contains(t, page, figure)
	}
	for _, figure := range [][2]string{{"with a fix, 510 without", "with a fix and 510 without"}, {"the state's 176 bytes", "state has 176 bytes"}, {"these 20 bytes", "power cycle 20"}} {
		assert.Contains(t, header, figure[0])
		assert.Contains(t, page, figure[1])
	}
}

// The code of the page is one file, which every compiler takes as strictly as the headers.
func TestFirmwarePageDrives(t *testing.T) {
	page := readFirmwarePage(t)
	folder := t.TempDir()
	var code strings.Builder
	for _, block := range regexp.MustCompile("(?s)\n```c\n(.*?\n)```\n").FindAllStringSubmatch(page.text, -1) {
		code.WriteString(block[1] + "\n")
	}
	write := func(name, text string) {
		t.Helper()
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644))
	}
	write("page.c", code.String())
	drive, err := os.ReadFile("testdata/firmware/drive.c")
	require.NoError(t, err)
	write("drive.c", string(drive))

	there := smallMission(t)
	back := strings.NewReplacer("mission: yard\n", "mission: yard-back\n", "waypoints: [A, B, C]", "waypoints: [C, B, A]").Replace(there)
	for name, mission := range map[string]string{"yard.yaml": there, "back.yaml": back} {
		write(name, mission)
		printed(t, 0, "compile", filepath.Join(folder, name), "-o", folder)
	}

	run := func(command ...string) string {
		t.Helper()
		c := exec.Command(command[0], command[1:]...)
		c.Dir = folder
		out, err := c.CombinedOutput()
		require.NoError(t, err, "%v\n%s", command, out)
		return string(out)
	}
	strict := strings.Fields("-Wall -Wextra -Wpedantic -Wconversion -Wsign-conversion -Wshadow -Wundef -Werror -c -o page.o")
	for _, compiler := range []string{"gcc -std=c99", "gcc -std=c11", "clang -std=c99", "g++ -std=c++17 -x c++", "clang++ -std=c++17 -x c++",
		"arm-none-eabi-gcc -std=c99 -mcpu=cortex-m3 -mthumb -Os"} {
		run(append(append(strings.Fields(compiler), strict...), "page.c")...)
	}
	run(strings.Fields("gcc -std=c99 -O1 -g -fsanitize=address,undefined -fno-sanitize-recover=all -Wall -Wextra -Werror -o drive drive.c -lm")...)
	assert.Equal(t, "driven\n", run("./drive"))
}
