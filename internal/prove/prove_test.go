// The examples are proved, and what is broken on purpose is not. The analyser is the
// one of the machine: without it these tests fail.
package prove

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/guidance"
	"merestone/internal/missiontest"
)

// caseOf is the case of an example, its files edited, and the folder that holds them.
func caseOf(t *testing.T, path string, edit func(name, text string) string) (Case, string) {
	t.Helper()
	p := missiontest.Resolve(t, path)
	c, err := New(p, "test")
	require.NoError(t, err)
	folder := t.TempDir()
	for i, f := range c.Files {
		if edit != nil {
			c.Files[i].Data = []byte(edit(f.Name, string(f.Data)))
		}
		require.NoError(t, os.WriteFile(filepath.Join(folder, f.Name), c.Files[i].Data, 0o644))
	}
	return c, folder
}

// inParallel lets as many runs go on at a time as there are processors: the analyser
// has one thread.
func inParallel(t *testing.T) {
	t.Helper()
	_, err := exec.LookPath(analyser)
	require.NoError(t, err, "the analyser is needed (Debian package frama-c-base)")
	t.Parallel()
}

func TestExamplesAreProved(t *testing.T) {
	for _, path := range missiontest.Examples(t) {
		t.Run(filepath.Base(filepath.Dir(path)), func(t *testing.T) {
			inParallel(t)
			c, folder := caseOf(t, path, nil)
			r, err := c.Run(context.Background(), folder)
			require.NoError(t, err)
			assert.Empty(t, r.Alarms)
			assert.Empty(t, r.Lacking)
			assert.True(t, r.Proved())
			assert.Equal(t, bytes.Count(c.Files[2].Data, []byte("/*@ assert ")), r.Promises)
			assert.Positive(t, r.Loops, r.NoProver)
			assert.Contains(t, r.Analyser, "frama-c ")
			t.Logf("%v, %d functions, not called: %v", r.Took.Round(time.Second/10), len(r.Functions), r.Unreached)
			for _, name := range r.Unreached { // what the mission has no use for, and nothing else
				assert.Contains(t, []string{"mere_circle_margin", "mere_channels", "mere_length"}, name)
			}
		})
	}
}

// A loop without an end is none that is proved to have one.
func TestEndlessLoopsAreNotProved(t *testing.T) {
	for name, by := range map[string][2]string{
		"that does not move on":    {"i < MERE_REASON_COUNT; i++)", "i < MERE_REASON_COUNT; i += 0u)"},
		"of which nothing is said": {"    /*@ loop variant level; */\n", ""},
	} {
		t.Run(name, func(t *testing.T) {
			inParallel(t)
			c, folder := caseOf(t, missiontest.Example(t, "walnut-grove"), func(file, text string) string {
				if file == gen.GuidanceHeader {
					require.Equal(t, 1, strings.Count(text, by[0]))
				}
				return strings.Replace(text, by[0], by[1], 1)
			})
			var r Report
			var took time.Duration
			require.NoError(t, c.loops(context.Background(), &took, analyser, folder, &r))
			require.Empty(t, r.NoProver, "a prover is needed (Debian packages why3 and z3)")
			assert.False(t, r.Proved())
			assert.Len(t, r.Lacking, 1)
			assert.Positive(t, r.Loops, "all others end")
			t.Logf("%v: %v", took.Round(time.Second/10), r.Lacking)
		})
	}
}

// What is broken must not pass. Each is one change to the files of the walnut grove.
func TestBrokenCodeRaisesAlarms(t *testing.T) {
	grove := missiontest.Example(t, "walnut-grove")
	replace := func(in, old, by string) func(name, text string) string {
		return func(name, text string) string {
			if !strings.HasSuffix(name, in) {
				return text
			}
			require.Equal(t, 1, strings.Count(text, old), "%q in %s", old, name)
			return strings.Replace(text, old, by, 1)
		}
	}
	for _, b := range []struct {
		name string
		edit func(name, text string) string
		in   string // the function with the alarm
	}{
		{"a word of the search points to a group that is not there", func(name, text string) string {
			words := regexp.MustCompile(`(_nodes\[\d+\] = \{\s+)1u`)
			if !strings.HasSuffix(name, "_mission.h") {
				return text
			}
			require.True(t, words.MatchString(text))
			return words.ReplaceAllString(text, "${1}4000u")
		}, "mere_fence_margin"},
		{"a sum in 32 bits that needs 64", replace(gen.GuidanceHeader,
			"return ((int64_t)a * (int64_t)b) + ((int64_t)c * (int64_t)d);", "return (int64_t)((a * b) + (c * d));"), "mere_sum_of_products"},
	} {
		t.Run(b.name, func(t *testing.T) {
			inParallel(t)
			c, folder := caseOf(t, grove, b.edit)
			var took time.Duration
			r, err := c.look(context.Background(), &took, analyser, folder)
			require.NoError(t, err)
			assert.False(t, r.Proved())
			at := slices.IndexFunc(r.Alarms, func(a Alarm) bool { return a.Function == b.in })
			require.GreaterOrEqual(t, at, 0, "%v", r.Alarms)
			a := r.Alarms[at]
			t.Logf("%v: %s:%d: %s\n%s\n%s", took.Round(time.Second/10), a.File, a.Line, a.Fault, a.Code, a.Property)
			assert.Equal(t, gen.GuidanceHeader, a.File)
			assert.NotEmpty(t, a.Code)
			assert.NotEqual(t, a.Property, a.Fault)
		})
	}
}

// An analysis that does not look at everything does not pass, alarm or none. The header here is a small one of the same form, so that each takes a second.
func TestWhatIsNotLookedAtDoesNotPass(t *testing.T) {
	const header = "/*\n *        mere_half            half of a number\n *        mere_third           a third of it\n */\n" +
		"#include <stdint.h>\n\nstatic inline int32_t mere_half(int32_t a)\n{\n    return a / 2;\n}\n\n" +
		"static inline int32_t mere_third(int32_t a)\n{\n    return a / 3;\n}\n"
	const start = "#include \"tables.h\"\n\nextern volatile int32_t any;\n\n"
	const whole = "int main(void)\n{\n    const int32_t half = mere_half(any);\n    /*@ assert half <= 0x40000000; */\n    (void)mere_third(any);\n    return half;\n}\n"
	for _, x := range []struct{ name, harness, lacks string }{
		{"all of it", start + whole, ""},
		{"a function that is not called", start + strings.Replace(whole, "(void)mere_third(any);", "", 1), "mere_third was not looked at"},
		{"a harness that does not end", start + strings.Replace(whole, "return half;", "while (1) {\n    }\n    return half;", 1), "not all of main"},
		{"a way that cannot be gone", start + strings.Replace(whole, "(void)mere_third(any);", "if (half > 0x40000000) {\n        (void)mere_third(any);\n    }", 1), "not all of main"},
		{"a function without its text", start + "int32_t mere_else(int32_t a);\n\n" + strings.Replace(whole, "return half;", "return mere_else(half);", 1), "it had errors or warnings"},
		{"nothing", "int main(void)\n{\n    return 0;\n}\n", "mere_half was not looked at"},
	} {
		t.Run(x.name, func(t *testing.T) {
			inParallel(t)
			folder := t.TempDir()
			files := []gen.File{{Name: "tables.h", Data: []byte("#include \"" + gen.GuidanceHeader + "\"\n")}, {Name: gen.GuidanceHeader, Data: []byte(header)}, {Name: Harness, Data: []byte(x.harness)}}
			for _, f := range files {
				require.NoError(t, os.WriteFile(filepath.Join(folder, f.Name), f.Data, 0o644))
			}
			options := slices.DeleteFunc(options(guidance.Mission{}), func(o Option) bool { return o.Args[0] == "-eva-slevel-function" }) // it names functions
			c := Case{Files: files, Options: options, public: []string{"mere_half", "mere_third"}, own: []string{"main"}, promises: strings.Count(x.harness, "/*@ assert ")}
			r, err := c.look(context.Background(), new(time.Duration), analyser, folder)
			require.NoError(t, err)
			assert.Equal(t, x.lacks == "", r.Proved(), "%v", r.Lacking)
			if x.lacks != "" {
				assert.Contains(t, strings.Join(r.Lacking, "\n"), x.lacks)
			}
		})
	}
}
