// The JSON Schema against missions, judged by an independent validator.
package spec

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	yaml "github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func schema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	text, err := Schema()
	require.NoError(t, err)
	document, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	require.NoError(t, err)
	compiler := jsonschema.NewCompiler()
	compiler.DefaultDraft(jsonschema.Draft2020)
	require.NoError(t, compiler.AddResource("mission.json", document))
	compiled, err := compiler.Compile("mission.json") // checks it against the meta-schema too
	require.NoError(t, err)
	return compiled
}

// instance is a mission as a YAML-aware editor hands it to a validator.
func instance(t *testing.T, folder string) any {
	t.Helper()
	text, err := os.ReadFile(folder + "/mission.yaml")
	require.NoError(t, err)
	text = bytes.ReplaceAll(text, []byte(".inf"), []byte("'.inf'")) // JSON has no infinity
	asJSON, err := yaml.YAMLToJSON(text)
	require.NoError(t, err)
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(asJSON))
	require.NoError(t, err)
	return value
}

func TestSchemaIsTheSameEveryTime(t *testing.T) {
	one, err := Schema()
	require.NoError(t, err)
	two, err := Schema()
	require.NoError(t, err)
	assert.Equal(t, string(one), string(two))
	assert.True(t, json.Valid(one))
	assert.Contains(t, string(one), "https://json-schema.org/draft/2020-12/schema")
}

func TestSchemaAcceptsGoodMissions(t *testing.T) {
	s := schema(t)
	for _, folder := range append(folders(t, "testdata/cases/good*"), "testdata/complete") {
		if strings.HasSuffix(folder, "good-windows") || strings.HasSuffix(folder, "good-anchors") {
			continue // the byte order mark and merge keys are the affair of the YAML reader
		}
		assert.NoError(t, s.Validate(instance(t, folder)), folder)
	}
}

// What the schema can see, it refuses as Parse does.
func TestSchemaRefusesWhatItCanSee(t *testing.T) {
	s := schema(t)
	for folder, where := range map[string][]string{
		"unknown-keys":           {"/rover", "/route", "/holds/0"},
		"missing-keys":           {"/site", "/site/origin", "/receiver", "/rover", "/rover/speed", "/route", "/geofence", "/holds/0", "/board"},
		"missing-blocks":         {""},
		"wrong-types":            {"/mission", "/rover/width", "/rover/speed", "/holds/0/pin", "/board/outputs/drive_enable", "/route/closed", "/geofence/boundary"},
		"quantities":             {"/rover/width", "/rover/length", "/rover/coast/from", "/rover/cross_track", "/receiver/fix_rate", "/receiver/latency", "/route/arrival_tolerance"},
		"words":                  {"/receiver/required", "/holds/0/kind", "/holds/0/contact", "/holds/0/wired_to", "/holds/0/pull", "/board/float", "/board/pulls/1"},
		"ranges":                 {"/holds/0/pin", "/holds/0/stop_category", "/route/waypoints", "/geofence/boundary", "/board/integer_bits"},
		"date-written-otherwise": {"/site/date"},
		"empty-values":           {"/rover/width", "/site/origin", "/receiver/uncertainty/fixed", "/marks/B", "/route/waypoints/1", "/geofence/boundary/1"},
	} {
		err := s.Validate(instance(t, "testdata/cases/"+folder))
		var invalid *jsonschema.ValidationError
		require.ErrorAs(t, err, &invalid, folder)
		found := map[string]bool{}
		collect(invalid, found)
		for _, pointer := range where {
			assert.Truef(t, found[pointer], "%s: the schema sees nothing at %q", folder, pointer)
		}
	}
}

// collect notes every place of the instance that an error is about.
func collect(err *jsonschema.ValidationError, found map[string]bool) {
	pointer := ""
	for _, step := range err.InstanceLocation {
		pointer += "/" + step
	}
	if len(err.Causes) == 0 || strings.Contains(err.Error(), "anyOf") {
		found[pointer] = true
	}
	for _, cause := range err.Causes {
		collect(cause, found)
	}
}

func TestReference(t *testing.T) {
	text := Reference()
	for _, line := range []string{
		"| `rover.width` | length, more than 0 m, at most 100 m | **required** | greatest width, with all that sticks out |",
		"| `route.waypoints[].dwell` | duration, from 0 s to 86400 s | 0 s | how long the rover stays |",
		"| `marks.NAME.latitude` | latitude: decimal degrees from -90 to 90, or degrees, minutes, seconds and N or S | the mark is measured | WGS 84, north positive |",
	} {
		assert.Contains(t, text, line+"\n")
	}
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		assert.Equal(t, 5, strings.Count(line, "|"), line)
	}
	assert.Equal(t, text, Reference())
}
