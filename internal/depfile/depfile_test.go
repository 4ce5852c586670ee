// What is written, what is refused, and that Make and Ninja, which each have a reader of
// their own, read every name that is not refused as it is. CMake's stands before theirs,
// and is asked by build_test.go.
package depfile

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestRules(t *testing.T) {
	for _, c := range []struct {
		targets, sources []string
		want             string
	}{
		{[]string{"gen/m.stamp"}, []string{"m.yaml"}, "gen/m.stamp: \\\n  m.yaml\n\nm.yaml:\n"},
		{[]string{"a.h", "b.h"}, []string{"../m.yaml", "../trees.csv"}, "a.h b.h: \\\n  ../m.yaml \\\n  ../trees.csv\n\n../m.yaml:\n\n../trees.csv:\n"},
		{[]string{"a b.stamp"}, []string{"$1 é.yaml"}, "a\\ b.stamp: \\\n  $$1\\ é.yaml\n\n$$1\\ é.yaml:\n"},
		{[]string{"s"}, []string{"a:b#c", "mission (1).yaml"}, "s: \\\n  a\\:b\\#c \\\n  mission\\ (1).yaml\n\na\\:b\\#c:\n\nmission\\ (1).yaml:\n"},
		{[]string{"s"}, []string{"feature%2Fnew/m.yaml"}, "s: \\\n  feature%2Fnew/m.yaml\n"},
	} {
		got, err := Rule(c.targets, c.sources)
		require.NoError(t, err)
		assert.Equal(t, c.want, string(got))
	}
}

func TestRefusedNames(t *testing.T) {
	for name, why := range map[string]string{
		"":             "it is empty",
		"a\nb":         `the character '\n'`,
		"a\rb":         `the character '\r'`,
		"a\tb":         `the character '\t'`,
		"a\x00b":       `the character '\x00'`,
		"a\x7fb":       `the character '\x7f'`,
		"a\xffb":       "it is not UTF-8",
		"~/m.yaml":     "a ~ at its beginning",
		" m.yaml":      "a space at its beginning or end",
		"m.yaml ":      "a space at its beginning or end",
		"m.yaml:":      "a colon at its end",
		"marks(1)":     "a closing bracket at its end",
		"a\"b":         `the character '"'`,
		"rows*.yaml":   `the character '*'`,
		"ref=1/m.yaml": `the character '='`,
	} {
		for _, names := range [][2][]string{{{"s"}, {"m", name}}, {{name}, {"m"}}} {
			_, err := Rule(names[0], names[1])
			if assert.Error(t, err, "%q", name) {
				assert.Equal(t, fmt.Sprintf("%q is a name that Make and Ninja do not read the same: %s; choose another", name, why), err.Error())
			}
		}
	}
	if filepath.Separator == '/' { // elsewhere it becomes one
		_, err := Rule([]string{"s"}, []string{`a\b`})
		assert.ErrorContains(t, err, `the character '\\'`)
	}
	_, err := Rule([]string{"100%.stamp"}, []string{"m"})
	assert.EqualError(t, err, `"100%.stamp" is a name that Make and Ninja do not read the same: the character '%'; choose another`)
}

// names are those with each character that is not refused, at the beginning, the end
// and in between, then random ones. None leads out of the folder.
func names(t *testing.T) []string {
	t.Helper()
	const alphabet = plain + "$ #:()" + "aZ09éß日\u00a0"
	var all []string
	for _, c := range alphabet {
		all = append(all, fmt.Sprintf("q%cb.x", c), fmt.Sprintf("t%c y", c), fmt.Sprintf("%cr.x", c), fmt.Sprintf("s%c", c), fmt.Sprintf("u%cv%[1]c%[1]cw", c))
	}
	random := rand.New(rand.NewPCG(1, 2))
	letters := []rune(alphabet)
	for range 300 {
		name := ""
		for range 1 + random.IntN(9) {
			name += string(letters[random.IntN(len(letters))])
		}
		all = append(all, name)
	}
	slices.Sort(all)
	all = slices.Compact(all)
	folders := map[string]bool{}
	for _, name := range all {
		for at := filepath.Dir(name); at != filepath.Dir(at); at = filepath.Dir(at) {
			folders[at] = true
		}
	}
	all = slices.DeleteFunc(all, func(name string) bool {
		_, err := Rule([]string{name}, []string{name})
		return err != nil || name == "." || name != filepath.Clean(name) || !filepath.IsLocal(name) || folders[name]
	})
	assert.Greater(t, len(all), 250)
	return all
}

// asSources are names of sources, which may have a % in them.
func asSources(t *testing.T) []string {
	t.Helper()
	return append(names(t), "feature%2Fnew/m.yaml", "100%", "% %%", "$%#x")
}

// yard is a folder with files of these names, all of one time.
func yard(t *testing.T, names []string) string {
	t.Helper()
	folder := t.TempDir()
	for _, name := range names {
		path := filepath.Join(folder, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, nil, 0o644))
	}
	return folder
}

// works runs a tool in a folder and gives the numbers of the rules that were run.
func works(t *testing.T, folder, tool string, args ...string) []string {
	t.Helper()
	ran := filepath.Join(folder, "ran.list")
	require.NoError(t, os.WriteFile(ran, nil, 0o644))
	time.Sleep(20 * time.Millisecond) // file systems tell such times apart
	c := exec.Command(tool, args...)
	c.Dir, c.Env = folder, append(os.Environ(), "MAKEFLAGS=")
	out, err := c.CombinedOutput()
	require.NoError(t, err, "%.2000s", out)
	list, err := os.ReadFile(ran)
	require.NoError(t, err)
	lines := strings.Split(string(list), "\n")
	lines = lines[:len(lines)-1]
	slices.Sort(lines)
	return lines
}

func write(t *testing.T, text string, path ...string) {
	t.Helper()
	require.NoError(t, os.WriteFile(filepath.Join(path...), []byte(text), 0o644))
}

// disturb gives every second file a new time and removes the others, but those at whose
// absence Make stops.
func disturb(t *testing.T, folder string, names []string) {
	t.Helper()
	time.Sleep(20 * time.Millisecond)
	for i, name := range names {
		if i%2 == 0 || strings.Contains(name, "%") {
			require.NoError(t, os.Chtimes(filepath.Join(folder, name), time.Now(), time.Now()))
		} else {
			require.NoError(t, os.Remove(filepath.Join(folder, name)))
		}
	}
}

func numbers(n int) []string {
	var all []string
	for i := range n {
		all = append(all, fmt.Sprint(i))
	}
	slices.Sort(all)
	return all
}

func TestMakeReadsEverySource(t *testing.T) {
	sources := asSources(t)
	folder := yard(t, sources)
	makefile := ".PHONY: all\nall:\n"
	for i, source := range sources {
		rule, err := Rule([]string{fmt.Sprintf("%d.stamp", i)}, []string{source})
		require.NoError(t, err)
		makefile += fmt.Sprintf("all: %d.stamp\n%[1]d.stamp:\n\t@echo %[1]d >> ran.list; touch $@\n%s", i, rule)
	}
	write(t, makefile, folder, "Makefile")
	assert.Equal(t, numbers(len(sources)), works(t, folder, "make"))
	assert.Empty(t, works(t, folder, "make"))
	disturb(t, folder, sources)
	assert.Equal(t, numbers(len(sources)), works(t, folder, "make"))
}

func TestMakeReadsEveryTarget(t *testing.T) {
	targets := names(t)
	var sources []string
	makefile := ""
	for i, target := range targets {
		sources = append(sources, fmt.Sprintf("%d.source", i))
		rule, err := Rule([]string{target}, []string{sources[i]})
		require.NoError(t, err)
		makefile += string(rule)
	}
	folder := yard(t, sources)
	for _, target := range targets {
		require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(folder, target)), 0o755))
	}
	// The recipe of whatever has none says which source its target has.
	write(t, makefile+"%::\n\t@echo $(basename $<) >> ran.list; touch -- '$@'\nMakefile: ;\n", folder, "Makefile")
	goals := append([]string{"--"}, targets...)
	assert.Equal(t, numbers(len(targets)), works(t, folder, "make", goals...))
	assert.Empty(t, works(t, folder, "make", goals...))
}

// Ninja's names have escapes of their own.
var forNinja = strings.NewReplacer("$", "$$", " ", "$ ", ":", "$:")

func TestNinjaReadsEverySource(t *testing.T) {
	sources := asSources(t)
	folder := yard(t, sources)
	write(t, "", folder, "mission")
	build := "rule compile\n  command = cp $n.written $n.d && echo $n >> ran.list && touch $out\n  depfile = $n.d\n  deps = gcc\n"
	for i, source := range sources {
		rule, err := Rule([]string{fmt.Sprintf("%d.stamp", i)}, []string{"mission", source})
		require.NoError(t, err)
		write(t, string(rule), folder, fmt.Sprintf("%d.written", i))
		build += fmt.Sprintf("build %d.stamp: compile mission\n  n = %[1]d\n", i)
	}
	write(t, build, folder, "build.ninja")
	assert.Equal(t, numbers(len(sources)), works(t, folder, "ninja"))
	assert.Empty(t, works(t, folder, "ninja"))
	disturb(t, folder, sources)
	assert.Equal(t, numbers(len(sources)), works(t, folder, "ninja"))
}

// Without deps = gcc Ninja looks at the targets, too.
func TestNinjaReadsEveryTarget(t *testing.T) {
	targets := names(t)
	folder := yard(t, []string{"mission", "marks"})
	build := "rule compile\n  command = cp $n.written $n.d && echo $n >> ran.list && touch -- $out\n  depfile = $n.d\n"
	for i, target := range targets {
		rule, err := Rule([]string{target}, []string{"mission", "marks"})
		require.NoError(t, err)
		write(t, string(rule), folder, fmt.Sprintf("%d.written", i))
		build += fmt.Sprintf("build %s: compile mission\n  n = %d\n", forNinja.Replace(target), i)
	}
	write(t, build, folder, "build.ninja")
	assert.Equal(t, numbers(len(targets)), works(t, folder, "ninja"))
	assert.Empty(t, works(t, folder, "ninja"))
	disturb(t, folder, []string{"marks"})
	assert.Equal(t, numbers(len(targets)), works(t, folder, "ninja"))
}
