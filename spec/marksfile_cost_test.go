// What a marks_file may cost. Any of them, hostile or mistaken, is read or refused
// within limits that a small machine has; so are as many good marks as a mission may
// have. Each is read in a process of its own, see tooltest.Measured.
package spec

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/diag"
	"merestone/internal/tooltest"
)

// The limits: time is what the processor computes, since a loaded machine makes
// a reader wait.
const (
	marksFileCPU  = 3 * time.Second
	marksFilePeak = 300_000_000
)

func TestMarksFilesWithinTimeAndMemory(t *testing.T) {
	const (
		header = "name,latitude,longitude,height,uncertainty\n"
		plain  = "name,latitude,longitude\n"
	)
	// fill repeats a unit up to the largest marks_file; what begins it counts.
	fill := func(begin, unit string) string {
		return begin + strings.Repeat(unit, (MaxMarksFileBytes-len(begin))/len(unit))
	}
	// numbered is fill with the number of each unit in it.
	numbered := func(begin, format string, most int) string {
		var out strings.Builder
		out.Grow(MaxMarksFileBytes)
		out.WriteString(begin)
		for i := 0; i < most; i++ {
			line := fmt.Sprintf(format, i)
			if out.Len()+len(line) > MaxMarksFileBytes {
				break
			}
			out.WriteString(line)
		}
		return out.String()
	}
	const all = 1 << 30
	misspelt := func(n int) string {
		names := make([]string, n)
		for i := range names {
			names[i] = fmt.Sprintf("b mork with a langest nome here %02dxxx", i)
		}
		return strings.Join(names, ", ")
	}
	for _, c := range []struct {
		name string
		text func() string
		rule diag.ID // that refuses it; none where it is read
		use  string  // marks that the mission uses in place of A and B
	}{
		{name: "as many good marks as there may be", text: func() string {
			return numbered(header, "a mark with the longest name here %05d,45.3012%05[1]d,6.1234%05[1]d,412.60 m,2 cm\n", maxMarks-6)
		}},
		{name: "good marks in degrees, minutes, seconds", text: func() string {
			return numbered(header, `P%06d,"45°18'04.%06[1]d""N","6°07'24.%06[1]d""E",412.60 m,2 cm`+"\n", maxMarks-6)
		}},
		{name: "good marks until the file is full", rule: ruleTooManyMarks, text: func() string { return numbered(plain, "P%d,45,6\n", all) }},
		{name: "misspelt marks beside good ones", rule: ruleUnknownMark,
			text: func() string { return numbered(plain, "a mark with the longest name here %05d,45,6\n", maxMarks-6) },
			use:  misspelt(50)},
		{name: "names that become the same", rule: ruleNameClash, text: func() string { return numbered(plain, "P%d,45,6\np%[1]d,45,6\n", all) }},
		{name: "one mark again and again", rule: ruleDuplicateMark, text: func() string { return fill(plain, "C,45,6\n") }},
		{name: "empty names", rule: ruleBadName, text: func() string { return fill(plain, ",45,6\n") }},
		{name: "empty fields in rows", rule: ruleBadName, text: func() string { return fill(header, ",,,,\n") }},
		{name: "empty coordinates", rule: ruleEmptyValue, text: func() string { return numbered(plain, "P%d,,\n", all) }},
		{name: "bad coordinates", rule: ruleBadCoordinate, text: func() string { return numbered(plain, "P%d,91,181\n", all) }},
		{name: "bad everything", rule: ruleBadCoordinate, text: func() string { return numbered(header, "P%d,x,x,x,x\n", all) }},
		{name: "a line too short, a million times", rule: ruleBadCSV, text: func() string { return fill(plain, ",\n") }},
		{name: "a letter a line", rule: ruleBadCSV, text: func() string { return fill(plain, "x\n") }},
		{name: "open quotation marks", rule: ruleBadCSV, text: func() string { return fill(plain, "\"\n") }},
		{name: "a line of commas", rule: ruleBadCSV, text: func() string { return fill(plain, ",") }},
		{name: "lines of commas", rule: ruleBadCSV, text: func() string { return fill(plain, strings.Repeat(",", 4000)+"\n") }},
		{name: "a line of quotation marks", rule: ruleBadCSV, text: func() string { return fill(plain, `"`) }},
		{name: "lines of quotation marks", rule: ruleBadCSV, text: func() string { return fill(plain, strings.Repeat(`"`, 4001)+"\n") }},
		{name: "a line of empty quoted fields", rule: ruleBadCSV, text: func() string { return fill(plain, `"",`) }},
		{name: "a line of letters", rule: ruleBadCSV, text: func() string { return fill(plain, "x") }},
		{name: "a line of spaces", rule: ruleBadCSV, text: func() string { return fill(plain, " ") }},
		{name: "blank lines", rule: ruleBadCSV, text: func() string { return fill(plain, "\n") }},
		{name: "errors behind blank lines", rule: ruleBadName, text: func() string {
			const behind = ",45,6\nC,45,6\nC,45,6\n" // the other place of the last is far away, too
			return plain + strings.Repeat("\n", MaxMarksFileBytes-len(plain)-100*len(behind)) + strings.Repeat(behind, 100)
		}},
		{name: "names as long as a line may be", rule: ruleBadName, text: func() string { return numbered(plain, "P%03990d,45,6\n", all) }},
		{name: "heights as long as a line may be", rule: ruleNoUnit, text: func() string { return numbered(header, "P%d,45,6,%03900[1]d,\n", all) }},
		{name: "long coordinates", rule: ruleBadCoordinate, text: func() string { return numbered(plain, "P%d,45.%03900[1]d,6\n", all) }},
		{name: "coordinates of many decimals", text: func() string { return numbered(plain, "P%05d,45.%050[1]d,6.%050[1]d\n", maxMarks-6) }},
		{name: "nonsense of a useful length", rule: ruleBadCoordinate, text: func() string {
			return numbered(header, "P%d,−45°’′″°’′″°’′″°’′″,−−−−−−−−−−−−−−−−−,,\n", all)
		}},
		{name: "lines of one space", rule: ruleBadCSV, text: func() string { return fill(plain, " \n") }},
		{name: "comments", rule: ruleBadCSV, text: func() string { return fill(plain, "#\n") }},
		{name: "one comment", rule: ruleBadCSV, text: func() string { return fill(plain+"#", "x") }},
		{name: "nothing but line ends", rule: ruleBadCSV, text: func() string { return fill("", "\r\n") }},
		{name: "a header of commas", rule: ruleBadCSV, text: func() string { return fill("", ",") }},
		{name: "a header of letters", rule: ruleBadCSV, text: func() string { return fill("", "x") }},
		{name: "a header of quotation marks", rule: ruleBadCSV, text: func() string { return fill("", `"`) }},
		{name: "a header of almost names", rule: ruleBadCSV, text: func() string { return fill("", "longitud,") }},
		{name: "a header of one column", rule: ruleBadCSV, text: func() string { return fill("", "name,") }},
		{name: "a header of semicolons", rule: ruleBadCSV, text: func() string { return fill("", ";") }},
		{name: "a header of tabs", rule: ruleBadCSV, text: func() string { return fill("x", "\t") }},
		{name: "wide letters", rule: ruleBadCSV, text: func() string { return fill(plain, "\U0001F600") }},
		{name: "bytes that are no text", rule: ruleNotText, text: func() string { return fill(plain, "\xff") }},
		{name: "a byte too many", rule: ruleTooLarge, text: func() string { return strings.Repeat("x", MaxMarksFileBytes+1) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			mission := strings.Replace(small(t), "route:", "marks_file: marks.csv\nroute:", 1)
			mission = strings.Replace(mission, "[A, B]", "["+cmp.Or(c.use, "A, B")+"]", 1)
			said, cost := tooltest.Measured(t, func() []byte { return []byte(c.text()) }, func(marks []byte) string {
				result := Parse("mission.yaml", []byte(mission), func(string) ([]byte, error) { return marks, nil })
				var out bytes.Buffer
				require.NoError(t, diag.WriteText(&out, result.Findings, result.Sources, diag.Terminal{Colours: true}))
				said, err := json.Marshal(rulesOf(result.Findings))
				require.NoError(t, err)
				assert.Less(t, out.Len(), 100_000)
				return string(said)
			})
			t.Logf("%.2f s, %d MB", cost.CPU.Seconds(), cost.Peak/1e6)
			assert.LessOrEqual(t, cost.CPU, marksFileCPU)
			assert.LessOrEqual(t, cost.Peak, int64(marksFilePeak))
			var rules []diag.ID
			require.NoError(t, json.Unmarshal([]byte(said), &rules))
			if c.rule == "" {
				assert.Empty(t, rules)
			} else {
				assert.Contains(t, rules, c.rule)
			}
		})
	}
}
