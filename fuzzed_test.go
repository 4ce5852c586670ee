// Everything that comes in from outside is fuzzed: each place at which the program
// takes bytes from files, standard input, other programs, the command line or the
// environment is listed with the fuzz tests of what reads them.
package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// inlets are what brings bytes in: functions, types and variables of other packages.
// What only looks whether a file is there or lists a folder brings names.
func inlets() []string {
	return []string{
		"os.ReadFile", "os.Open", "os.OpenFile", "os.OpenRoot", "os.ReadDir", "os.Readlink", "os.Stdin", "os.Args", "os.Getenv", "os.LookupEnv", "os.Environ", "os.Getwd", "os.Stat", "os.DirFS",
		"io.ReadAll", "io.Copy", "io.ReadFull", "bufio.NewReader", "bufio.NewReaderSize", "bufio.NewScanner", "exec.Command", "exec.CommandContext",
		"csv.NewReader", "gzip.NewReader", "json.NewDecoder", "json.Unmarshal", "xml.Unmarshal", "xml.NewDecoder", "gob.NewDecoder", "elf.NewFile", "elf.Open", "net.Dial", "http.Get", "http.Client",
	}
}

// fuzzed are the places, by file and what they use, and who fuzzes the bytes; or why
// there is nothing to fuzz.
func fuzzed() map[string][]string {
	const (
		mission = "spec.FuzzParse"
		names   = "nothing is read out of it"
	)
	driver := []string{"source.FuzzDriver", "source.FuzzSplitRevision"}
	git := []string{"source.FuzzChangesOf", "source.FuzzPathsOfGit", "source.FuzzNamesIn", mission}
	logs := []string{"nmea.FuzzReader", "source.FuzzOpenData", "occupy.FuzzOccupy"}
	header := []string{"verify.FuzzReadHeader", "verify.FuzzEditedHeader", "verify.FuzzRecords", "verify.FuzzHex"}
	return map[string][]string{
		"internal/cli/process.go os.Args":            driver,
		"internal/cli/process.go os.Stdin":           {mission, "pipeline.FuzzLoad"},
		"internal/cli/process_unix.go os.Stat":       {names},
		"internal/source/open.go os.OpenFile":        slices.Concat([]string{mission, "spec.FuzzFragments", "pipeline.FuzzLoad", "insert.FuzzInto", "shift.FuzzReadOccupations"}, logs, header),
		"internal/source/open.go os.Stat":            {names},
		"internal/source/source.go io.ReadAll":       {mission, "pipeline.FuzzLoad"},
		"internal/source/source.go os.OpenRoot":      {"spec.FuzzMarksFile", mission},
		"internal/source/history.go os.ReadDir":      {names},
		"internal/source/git.go os.Environ":          {"git has it, too"},
		"internal/source/objects.go bufio.NewReader": {"source.FuzzNamesIn", mission},
		"internal/source/objects.go io.ReadAll":      {"source.FuzzNamesIn", mission},
		"internal/source/git.go exec.Command":        git,
		"internal/source/git.go io.ReadAll":          git,
		"internal/shift/read.go csv.NewReader":       {"shift.FuzzReadRows", "shift.FuzzReadOccupations"},
		"internal/cli/terminal.go os.Getenv":         {names},
		"internal/cli/verify.go io.Copy":             header,
		"internal/cli/new.go bufio.NewReader":        {"draft.FuzzAnswers"},
		"internal/cli/build.go os.Stat":              {names},
		"internal/cli/own.go os.Stat":                {names},
		"internal/cli/own.go os.Open":                {"its first bytes are compared with those of such a file"},
		"internal/cli/own.go io.ReadAll":             {"its first bytes are compared with those of such a file"},
		"internal/cli/mend.go os.ReadFile":           {"compared byte by byte with what was read before"},
		"internal/place/place.go os.ReadFile":        {"compared byte by byte with what is to be written"},
		"internal/place/place.go os.OpenFile":        {names},
		"internal/place/place.go os.Stat":            {names},
		"internal/place/place_unix.go os.Open":       {names},
		"internal/place/place_unix.go os.OpenFile":   {names},
		"internal/place/place_windows.go os.Open":    {names},
		"internal/place/temporary.go os.OpenFile":    {names},
		"internal/place/temporary.go os.ReadDir":     {names},
		"internal/verify/elf.go elf.NewFile":         {"verify.FuzzRecords"},
		"internal/prove/run.go exec.CommandContext":  {"prove.FuzzReport"},
		"internal/prove/run.go os.Open":              {"prove.FuzzReport"},
		"internal/prove/run.go io.ReadAll":           {"prove.FuzzReport"},
		"internal/cli/occupy.go os.Stat":             {names},
		"internal/cli/occupy.go io.Copy":             {"what is behind a packed log goes into its digest alone"},
		// What other programs and instruments have written.
		"internal/cli/import.go io.ReadAll":               {"interchange.FuzzTable", "interchange.FuzzGeoJSON", "interchange.FuzzGPX", "interchange.FuzzKML", "nmea.FuzzReader"},
		"internal/interchange/csv.go csv.NewReader":       {"interchange.FuzzTable"},
		"internal/interchange/geojson.go json.NewDecoder": {"interchange.FuzzGeoJSON"},
		"internal/interchange/xml.go xml.NewDecoder":      {"interchange.FuzzGPX", "interchange.FuzzKML"},
		// Receivers' logs and other data, packed or not.
		"internal/source/data.go bufio.NewReaderSize": logs,
		"internal/source/data.go gzip.NewReader":      logs,
		// The texts of single values: no bytes from outside, but what they become.
		"": {"quantity.FuzzParse", "quantity.FuzzLengthString", "geodesy.FuzzParseLatitude", "geodesy.FuzzParseLongitude", "spec.FuzzDate", "spec.FuzzName", "yaml.FuzzRead"},
		// What goes out to a terminal.
		"-": {"words.FuzzVisible"},
	}
}

// goFiles are the files of the module, tests or not.
func goFiles(t *testing.T, tests bool) (files []string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(".", func(path string, entry os.DirEntry, err error) error {
		if entry.IsDir() && path != "." && (strings.HasPrefix(entry.Name(), ".") || entry.Name() == "testdata") {
			return filepath.SkipDir
		}
		if strings.HasSuffix(path, ".go") && strings.HasSuffix(path, "_test.go") == tests {
			files = append(files, filepath.ToSlash(path))
		}
		return err
	}))
	return files
}

func TestWhatComesInIsFuzzed(t *testing.T) {
	// The fuzz tests that there are, by package.
	there := map[string]bool{}
	for _, file := range goFiles(t, true) {
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		for _, d := range parsed.Decls {
			if f, ok := d.(*ast.FuncDecl); ok && strings.HasPrefix(f.Name.Name, "Fuzz") {
				there[strings.TrimSuffix(parsed.Name.Name, "_test")+"."+f.Name.Name] = true
			}
		}
	}
	claimed := map[string]bool{}
	for place, tests := range fuzzed() {
		for _, test := range tests {
			if strings.Contains(test, ".Fuzz") {
				claimed[test] = true
				assert.True(t, there[test], "%s: there is no %s", place, test)
			}
		}
	}
	assert.Equal(t, slices.Sorted(maps.Keys(there)), slices.Sorted(maps.Keys(claimed)), "every fuzz test says what it is for")

	// The places that there are.
	found := map[string]bool{"": true, "-": true}
	for _, file := range goFiles(t, false) {
		if strings.HasPrefix(file, "internal/missiontest/") || strings.HasPrefix(file, "internal/tooltest/") || strings.HasPrefix(file, "internal/drivetest/") || strings.HasPrefix(file, "internal/logtest/") {
			continue // for tests
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		ast.Inspect(parsed, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok {
				if x, ok := s.X.(*ast.Ident); ok && slices.Contains(inlets(), x.Name+"."+s.Sel.Name) {
					found[fmt.Sprintf("%s %s.%s", file, x.Name, s.Sel.Name)] = true
				}
			}
			return true
		})
	}
	places := fuzzed()
	for place := range found {
		assert.NotEmpty(t, places[place], "bytes come in at %s: write a fuzz test of what reads them, and put it into this table", place)
	}
	for place := range places {
		assert.True(t, found[place], "nothing comes in at %q any more", place)
	}
}
