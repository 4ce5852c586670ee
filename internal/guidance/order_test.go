package guidance

// The C header reads from the top: its contents are what follows, all that a firmware
// calls is declared with its promises before the first helper, and what is not for a
// firmware says so.

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	functionsTitle   = "Functions"
	definitionsTitle = "Definitions"
	privateMark      = " (private)"
	privateLine      = " * Private: not for firmware; may change between versions.\n"
)

// section is one of the header's, from its heading to the next one.
type section struct {
	title, text string
	functions   []function
}

func (s section) private() bool { return strings.HasSuffix(s.title, privateMark) }

// names are those of the functions that are defined in the section, or only declared.
func (s section) names(defined bool) []string {
	var names []string
	for _, f := range s.functions {
		if f.defined == defined {
			names = append(names, f.name)
		}
	}
	return names
}

// function is one at file scope, declared or defined.
type function struct {
	before, name string // before: what stands before the name
	defined      bool
}

var (
	headingPattern  = regexp.MustCompile(`(?m)^/\* -{72}\n \* (.+)\n`)
	contentsPattern = regexp.MustCompile(`(?m)^ \* +(\d+\. [^:\n]+): \S`)
	listedPattern   = regexp.MustCompile(`(?m)^ \* {8}(\w+) {2,}\S`)
	functionPattern = regexp.MustCompile(`([^;{}()]*?)\b(\w+)\(([^;{}]*)\)\s*(;|\{\})`)
	quotedPattern   = regexp.MustCompile(`\bsection(?:\s|\*|//)+"([^"]+)"`)
	callPattern     = regexp.MustCompile(`\b(mere_\w+)\(`)
)

// sectionsOf cuts the header at its headings. What is before the first is not in it.
func sectionsOf(text string) []section {
	var sections []section
	headings := headingPattern.FindAllStringSubmatchIndex(text, -1)
	for i, h := range headings {
		end := len(text)
		if i+1 < len(headings) {
			end = headings[i+1][0]
		}
		s := section{title: text[h[2]:h[3]], text: text[h[0]:end]}
		for _, f := range functionPattern.FindAllStringSubmatch(fileScope(s.text), -1) {
			s.functions = append(s.functions, function{strings.Join(strings.Fields(f[1]), " "), f[2], f[4] != ";"})
		}
		sections = append(sections, s)
	}
	return sections
}

// fileScope is the code without comments, without what is for C++ alone, and with
// nothing left between the outermost braces.
func fileScope(code string) string {
	code = regexp.MustCompile(`(?s)/\*.*?\*/|#ifdef __cplusplus.*?#endif`).ReplaceAllString(code, "")
	var b strings.Builder
	depth := 0
	for _, r := range code {
		if r == '}' {
			depth--
		}
		if depth == 0 {
			b.WriteRune(r)
		}
		if r == '{' {
			depth++
		}
	}
	return b.String()
}

// publicFunctions are those that the contents list, in their order.
func publicFunctions(text string) []string {
	var names []string
	opening, _, _ := strings.Cut(text, "*/")
	for _, m := range listedPattern.FindAllStringSubmatch(opening, -1) {
		names = append(names, m[1])
	}
	return names
}

// orderFaults is all that keeps a header from reading from the top.
func orderFaults(text string) []string {
	var faults []string
	fault := func(format string, args ...any) { faults = append(faults, fmt.Sprintf(format, args...)) }

	opening, _, _ := strings.Cut(text, "*/")
	var contents, titles []string
	for _, m := range contentsPattern.FindAllStringSubmatch(opening, -1) {
		contents = append(contents, m[1])
	}
	sections := sectionsOf(text)
	public := publicFunctions(text)
	reached := "" // of the sections that must come in one order
	for i := range sections {
		s := &sections[i]
		titles = append(titles, s.title)
		s.title = strings.TrimPrefix(s.title, fmt.Sprintf("%d. ", i+1))
		for _, f := range s.functions {
			if f.before != "static inline" && !strings.HasPrefix(f.before, "static inline ") {
				fault("%s is not static inline", f.name)
			}
		}
		declared, defined := s.names(false), s.names(true)
		if s.title != functionsTitle && len(declared) > 0 {
			fault("%v declared in %q", declared, s.title)
		}
		switch {
		case s.title == functionsTitle:
			if !slices.Equal(declared, public) {
				fault("declared are %v, the contents list %v", declared, public)
			}
			if len(defined) > 0 {
				fault("%v defined in %q", defined, s.title)
			}
			for _, name := range declared {
				if !regexp.MustCompile(`\*/\nstatic inline [^;]*?\b` + name + `\(`).MatchString(s.text) {
					fault("%s is declared without a comment", name)
				}
			}
			reached = functionsTitle
		case s.private():
			if !strings.Contains(s.text, privateLine) {
				fault("%q does not say what private means", s.title)
			}
			for _, name := range defined {
				if slices.Contains(public, name) {
					fault("%s, which the contents list, is defined in %q", name, s.title)
				}
			}
			if reached != functionsTitle {
				fault("%q is not between %q and %q", s.title, functionsTitle, definitionsTitle)
			}
		case s.title == definitionsTitle:
			if !slices.Equal(defined, public) {
				fault("defined are %v, the contents list %v", defined, public)
			}
			if i+1 != len(sections) {
				fault("%q is not the last section", s.title)
			}
			reached = definitionsTitle
		case len(defined) > 0:
			fault("%v defined in %q, which is not private", defined, s.title)
		}
		if !s.private() && regexp.MustCompile(`(?m)^static const\b`).MatchString(s.text) {
			fault("constants of the helpers in %q, which is not private", s.title)
		}
	}
	if reached != definitionsTitle || len(public) == 0 {
		fault("no functions")
	}
	if !slices.Equal(contents, titles) {
		fault("the contents are %q, the sections %q", contents, titles)
	}
	for i, title := range titles {
		if !strings.HasPrefix(title, fmt.Sprintf("%d. ", i+1)) {
			fault("section %d is %q", i+1, title)
		}
	}
	return faults
}

func TestHeaderReadsFromTheTop(t *testing.T) {
	assert.Empty(t, orderFaults(header(t)))
}

// What an edit in the wrong place would do to the order.
func TestOrderIsHeld(t *testing.T) {
	text := header(t)
	const (
		helper    = "/* Twice a. */\nstatic inline int32_t mere_twice(int32_t a)\n{\n    return 2 * a;\n}\n\n"
		declared  = "/* Twice a. */\nstatic inline int32_t mere_twice(int32_t a);\n\n"
		listed    = " *        mere_twice           twice a\n"
		rule      = "/* ------------------------------------------------------------------------\n"
		point     = "/* A place in the local frame. */\n"
		turn      = "/* How far to turn from heading"
		magnitude = "/* Magnitude. Domain"
		last      = "\n#ifdef __cplusplus\n}\n#endif\n\n#endif"
	)
	before := func(place, insertion string) func(string) string {
		return func(text string) string { return strings.Replace(text, place, insertion+place, 1) }
	}
	replace := func(old, with string) func(string) string {
		return func(text string) string { return strings.Replace(text, old, with, 1) }
	}
	for _, c := range []struct {
		name string
		edit func(string) string
		want string
	}{
		{"a helper before the functions", before(point, helper), "[mere_twice] defined in"},
		{"a helper among the functions", before(turn, helper), "[mere_twice] defined in"},
		{"a helper among the definitions", before(last, "\n"+helper), "defined are"},
		{"a function declared and not in the contents", before(turn, declared), "declared are"},
		{"a function in the contents and not declared", before(" *   7. Numbers", listed), "declared are"},
		{"a function declared among the helpers", before(magnitude, declared), "[mere_twice] declared in"},
		{"a function in the contents and defined among the helpers", func(text string) string {
			return before(magnitude, helper)(before(turn, declared)(before(" *        mere_turn ", listed)(text)))
		}, "mere_twice, which the contents list, is defined in"},
		{"two functions in another order", func(text string) string {
			at := strings.Index(text, turn)
			end := at + strings.Index(text[at:], ";\n\n") + 3
			return strings.Replace(text[:at]+text[end:], "/* Bearing of the vector", text[at:end]+"/* Bearing of the vector", 1)
		}, "declared are"},
		{"a function without its promises", before("static inline void mere_step(", "\n"), "mere_step is declared without a comment"},
		{"a function with linkage", replace("static inline uint32_t mere_magnitude", "uint32_t mere_magnitude"), "mere_magnitude is not static inline"},
		{"a constant before the functions", before(point, "static const uint32_t MERE_TWICE = 2u;\n"), "constants of the helpers"},
		{"a section that does not say what private means", replace(privateLine, ""), "does not say what private means"},
		{"a section that is not marked private", func(text string) string {
			return strings.ReplaceAll(text, "7. Numbers (private)", "7. Numbers")
		}, "which is not private"},
		{"a section that is not in the contents", before(point, rule+" * 5. Places\n */\n"), "the contents are"},
		{"a section that is only in the contents", before(" *   7. Numbers", " *   7. Places: where\n"), "the contents are"},
		{"another title", replace(" * 5. Rules\n", " * 5. Rule\n"), "the contents are"},
		{"another number", func(text string) string { return strings.ReplaceAll(text, "5. Rules", "4. Rules") }, "section 5 is"},
		{"helpers before the functions", func(text string) string {
			sections := sectionsOf(text)
			functions, numbers := sections[5].text, sections[6].text
			text = strings.Replace(text, functions+numbers, numbers+functions, 1)
			return strings.NewReplacer("6. Functions", "7. Functions", "7. Numbers", "6. Numbers").Replace(text)
		}, `"Numbers (private)" is not between`},
		{"something after the definitions", before(last, "\n"+rule+" * 13. More (private)\n"+privateLine+" */\n"), "is not the last section"},
	} {
		t.Run(c.name, func(t *testing.T) {
			edited := c.edit(text)
			require.NotEqual(t, text, edited)
			assert.Contains(t, strings.Join(orderFaults(edited), "\n"), c.want)
		})
	}
}

// What is shown to users, in words and in programs, calls nothing else.
func TestOnlyFunctionsAreCalled(t *testing.T) {
	public := publicFunctions(header(t))
	called := map[string]bool{}
	for _, root := range []string{"../../README.md", "../../docs", "../../examples", "../../templates/mission.h.tmpl", "../cli"} {
		require.NoError(t, filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() {
				return err
			}
			text, err := os.ReadFile(path)
			for _, call := range callPattern.FindAllSubmatch(text, -1) {
				called[string(call[1])] = true
				assert.Contains(t, public, string(call[1]), path)
			}
			return err
		}))
	}
	for _, name := range []string{"mere_start", "mere_set_shift", "mere_step", "mere_reason_text"} {
		assert.True(t, called[name], "%s: nothing shows how", name)
	}
}

// Sections are spoken of by their titles, in the header and in its twin.
func TestSectionsSpokenOfExist(t *testing.T) {
	texts := map[string]string{"the header": header(t)}
	sources, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, source := range sources {
		text, err := os.ReadFile(source)
		require.NoError(t, err)
		texts[source] = string(text)
	}
	var titles []string
	for _, s := range sectionsOf(texts["the header"]) {
		_, title, _ := strings.Cut(strings.TrimSuffix(s.title, privateMark), ". ")
		titles = append(titles, title)
	}
	spoken := 0
	for name, text := range texts {
		for _, m := range quotedPattern.FindAllStringSubmatch(text, -1) {
			assert.Contains(t, titles, m[1], name)
			spoken++
		}
	}
	assert.Greater(t, spoken, 10)
}
