// What is accepted, and what is said beside the verdict.
package verify

import (
	"encoding/binary"
	"errors"
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/guidance"
)

func TestAnswers(t *testing.T) {
	p := resolve(t, "walnut-grove")
	files, err := gen.Files(p, tool)
	require.NoError(t, err)
	own, older := string(files[0].Data), header(t, p, "1.2.2")
	other := header(t, resolve(t, "salt-pan"), tool)
	image := func(headers ...string) (out string) { // as flash has them
		for _, h := range headers {
			tables, err := ReadHeader(h)
			require.NoError(t, err)
			out += laidOut(tables, layout{binary.LittleEndian, 4, 8}, 0x8000+uint64(len(out)))
		}
		return out
	}
	functions := string(files[1].Data)
	const absent = ""
	const raw = "a raw binary has no addresses; all tables lie as the pointers of the mission say when it is loaded to 0x00008000"
	for _, c := range []struct {
		name           string
		data           string
		beside         string
		accepted, same bool // the second with SamePlan
		verdict        string
		remarks        string
	}{
		{"its header", own, functions, true, true, "the same", ""},
		{"its header in Windows lines, and so its functions", strings.ReplaceAll(own, "\n", "\r\n"), strings.ReplaceAll(functions, "\n", "\r\n"), false, true, OtherText.String(), "the merestone_guidance.h beside it has other comments or another layout than that of this version"},
		{"its header, its functions in Windows lines", own, strings.ReplaceAll(functions, "\n", "\r\n"), false, true, OtherText.String(), "the merestone_guidance.h beside it has other comments or another layout than that of this version"},
		{"its header, functions with a line that goes on", own, functions + "// \\\n\n", false, false, OtherGuidance.String(), "the merestone_guidance.h beside it is not that of this version"},
		{"its header, functions with a zero byte", own, functions + "\x00", false, false, OtherGuidance.String(), "the merestone_guidance.h beside it is not that of this version"},
		{"its header alone", own, absent, true, true, "the same", "there is no merestone_guidance.h beside it to compare"},
		{"its header, other functions", own, functions + "static int more;\n", false, false, OtherGuidance.String(), "the merestone_guidance.h beside it is not that of this version"},
		{"its header, functions with one figure edited", own, strings.Replace(functions, "MERE_PUSHED_MM_S = 2000", "MERE_PUSHED_MM_S = 2001", 1), false, false, OtherGuidance.String(), "the merestone_guidance.h beside it is not that of this version"},
		{"by an older tool, with its functions", older, functions + "static int more;\n", false, false, OtherGuidance.String(), "the header is by version 1.2.2, this is 1.2.3; the merestone_guidance.h beside it is not that of this version"},
		{"by an older tool, alone", older, absent, false, false, OtherTool.String(), "the header is by version 1.2.2, this is 1.2.3; there is no merestone_guidance.h beside it to compare"},
		{"by an older tool", older, functions, false, true, OtherTool.String(), "the header is by version 1.2.2, this is 1.2.3"},
		{"by an older tool that had another figure", strings.Replace(older, "420u, /* look_ahead_mm */", "430u, /* look_ahead_mm */", 1), functions, false, false, OtherTables.String(), "the header is by version 1.2.2, this is 1.2.3"},
		{"other comments", strings.Replace(own, "CAUTIONS", "Cautions", 1), functions, false, true, OtherText.String(), ""},
		{"edited", strings.Replace(own, "420u, /* look_ahead_mm */", "320u, /* look_ahead_mm */", 1), functions, false, false, Edited.String(), ""},
		{"another plan", other, functions, false, false, OtherPlan.String(), ""},
		{"no header", "int x;", functions, false, false, NoHeader.String(), "this is not a data header of merestone: it defines no mere_mission_t"},
		{"an image", image(own), absent, true, true, "built from this plan", raw},
		{"an image by an older tool", image(older), absent, false, true, OtherTool.String(), "the image is by version 1.2.2, this is 1.2.3, which knows nothing of the functions of that one; " + raw},
		{"an image of the record alone", image(own)[:recordSize], absent, false, false, Untold.String(), "mission at 0x00000000: it is cut short: the image ends within it, or has a gap"},
		{"an image of half of its tables", image(own)[:len(image(own))/2], absent, false, false, Untold.String(), "mission at 0x00000000: its tables are not found: legs, fence and holds lie at no distance from where its pointers say at which all of them are the plan's, so that some were changed, or are not in the image"},
		{"an image of another version's format", strings.Replace(image(older), "image\x00\x03", "image\x00\x02", 1), absent, false, false, OtherTables.String(), "the image is by version 1.2.2, this is 1.2.3, which knows nothing of the functions of that one"},
		{"an image with the mission twice", image(own) + image(own), absent, false, false, Untold.String(), "mission at 0x00000000: there is another copy of its legs at 0x000009c8, to which no mission points: without addresses it cannot be told which of them drives; " +
			"mission at 0x00000000: there is another copy of its fence edges at 0x00000b28, to which no mission points: without addresses it cannot be told which of them drives; " +
			"mission at 0x00000850: it has the pointers of the one at 0x00000000: these are two copies of one program, to be verified one by one; " + raw},
		{"an image of two", image(own, other), absent, false, false, OtherPlan.String(), raw},
		{"an image and a record that cannot be read", image(own) + string(magic()), absent, false, false, Torn.String(), "the text that begins a record is at 0x00000850, but no record behind it; " + raw},
		{"an image of none", strings.Repeat("\x00", 100), absent, false, false, "there is no mission in this image", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			q := Question{File: "f", Data: c.data, Missions: []Mission{{"m.yaml", p}}, Tool: tool, Beside: func(name string) (string, error) {
				assert.Equal(t, gen.GuidanceHeader, name)
				if c.beside == absent {
					return "", fs.ErrNotExist
				}
				return c.beside, nil
			}}
			a, err := q.Answer()
			require.NoError(t, err)
			assert.Equal(t, c.accepted, a.Accepted)
			assert.Equal(t, c.verdict, a.Verdict)
			assert.Equal(t, c.remarks, strings.Join(a.Remarks, "; "))
			q.SamePlan = true
			a, err = q.Answer()
			require.NoError(t, err)
			assert.Equal(t, c.same, a.Accepted, "with --same-plan")
		})
	}

	// All that are wrong are told.
	a, err := Question{Data: image(other, header(t, resolve(t, "running-track"), tool)), Missions: []Mission{{"m.yaml", p}}, Tool: tool}.Answer()
	require.NoError(t, err)
	assert.Len(t, a.Differences, 2)

	// Without a plan the file is only asked what it has.
	for _, data := range []string{own, image(own), image(own)[:recordSize]} {
		a, err := Question{File: "f", Data: data}.Answer()
		require.NoError(t, err)
		assert.True(t, a.Accepted)
		assert.Equal(t, "found", a.Verdict)
		require.Len(t, a.Records, 1)
		assert.Equal(t, "walnut-grove-rows", a.Records[0].Mission)
	}
	_, err = Question{File: "f", Data: "int x;"}.Answer()
	assert.ErrorContains(t, err, "f: this is not a data header")
	_, err = Question{File: "f", Data: "\x7fELF"}.Answer()
	assert.ErrorContains(t, err, "f: the ELF file cannot be read")
	unreadable := errors.New("cannot read it")
	_, err = Question{Data: own, Missions: []Mission{{"m.yaml", p}}, Tool: tool, Beside: func(string) (string, error) { return "", unreadable }}.Answer()
	assert.ErrorIs(t, err, unreadable)
}

// laidOut is a mission as this package takes compilers to lay it out, which
// TestFirmwareOfCompilers holds against compilers, to be loaded to an address.
func laidOut(m guidance.Mission, l layout, base uint64) string {
	b := missionBlock(m, l)
	for _, one := range b.links {
		if one.table.Len() == 0 {
			continue
		}
		b.bytes = append(b.bytes, make([]byte, -len(b.bytes)&7)...)
		at := base + uint64(len(b.bytes))
		b.bytes = append(b.bytes, tableBytes(one.table, l)...)
		if l.pointer == 8 {
			l.order.PutUint64(b.bytes[one.at:], at)
		} else {
			l.order.PutUint32(b.bytes[one.at:], uint32(at))
		}
	}
	return string(append(b.bytes, make([]byte, -len(b.bytes)&7)...))
}
