// What is accepted, and what is said beside the verdict.
package verify

import (
	"bytes"
	"errors"
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/board"
)

func TestAnswers(t *testing.T) {
	p := resolve(t, "walnut-grove")
	files, err := gen.Files(p, tool)
	require.NoError(t, err)
	own, older := string(files[0].Data), header(t, p, "1.2.2")
	other := header(t, resolve(t, "salt-pan"), tool)
	image := func(headers ...string) string { // the records as flash has them
		var out bytes.Buffer
		for _, h := range headers {
			tables, err := ReadHeader(h)
			require.NoError(t, err)
			r := tables.Record
			out.Write(append(magic(), r.Format, 0, 0, 0))
			out.Write(r.Digest[:])
			out.WriteString(r.Mission + strings.Repeat("\x00", board.MissionNameSize-len(r.Mission)))
			out.WriteString(r.Tool + strings.Repeat("\x00", board.ToolSize-len(r.Tool)))
		}
		return out.String()
	}
	functions := string(files[1].Data)
	const absent = ""
	for _, c := range []struct {
		name           string
		data           string
		beside         string
		accepted, same bool // the second with SamePlan
		verdict        string
		remarks        string
	}{
		{"its header", own, functions, true, true, "the same", ""},
		{"its header alone", own, absent, true, true, "the same", "there is no merestone_guidance.h beside it to compare"},
		{"its header, other functions", own, functions + "\n", false, true, "the same", "the merestone_guidance.h beside it is not that of this version"},
		{"by an older tool", older, functions, false, true, OtherTool.String(), "the header is by version 1.2.2, this is 1.2.3"},
		{"by an older tool that had another figure", strings.Replace(older, "420u, /* look_ahead_mm */", "430u, /* look_ahead_mm */", 1), functions, false, false, OtherTables.String(), "the header is by version 1.2.2, this is 1.2.3"},
		{"other comments", strings.Replace(own, "CAUTIONS", "Cautions", 1), functions, false, true, OtherText.String(), ""},
		{"edited", strings.Replace(own, "420u, /* look_ahead_mm */", "320u, /* look_ahead_mm */", 1), functions, false, false, Edited.String(), ""},
		{"another plan", other, functions, false, false, OtherPlan.String(), ""},
		{"no header", "int x;", functions, false, false, OtherPlan.String(), "this is not a data header of merestone: it defines no mere_mission_t"},
		{"an image", image(own), absent, true, true, "the same", ""},
		{"an image by an older tool", image(older), absent, false, true, OtherTool.String(), "the image is by version 1.2.2, this is 1.2.3: whether its tables are the same, its record does not say"},
		{"an image of two", image(own, other), absent, false, false, OtherPlan.String(), "there are several missions in this image; all of them must be the one asked for"},
		{"an image of none", strings.Repeat("\x00", 100), absent, false, false, "there is no mission in this image", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			q := Question{File: "f", Data: c.data, Mission: "m.yaml", Plan: p, Tool: tool, Beside: func(name string) (string, error) {
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
	a, err := Question{Data: image(other, header(t, resolve(t, "running-track"), tool)), Plan: p, Tool: tool}.Answer()
	require.NoError(t, err)
	assert.Len(t, a.Differences, 2)

	// Without a plan the file is only asked what it has.
	for _, data := range []string{own, image(own)} {
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
	_, err = Question{Data: own, Plan: p, Tool: tool, Beside: func(string) (string, error) { return "", unreadable }}.Answer()
	assert.ErrorIs(t, err, unreadable)
}
