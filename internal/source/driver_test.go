// What git calls is given the marks of the revision that is meant, or none.
package source

import (
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// copied writes a text as git does for the programs that it calls.
func copied(t *testing.T, name, text string) string {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "git-blob-Ab12Cd")
	put(t, folder, "", "marks of a stranger")
	file := filepath.Join(folder, name)
	require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
	return file
}

// hasNone checks that a source has no marks, and why.
func hasNone(t *testing.T, s Source, err error, why string) {
	t.Helper()
	require.NoError(t, err)
	text, err := s.Open("marks.csv")
	require.Error(t, err, s.Name)
	assert.ErrorContains(t, err, why)
	assert.Empty(t, text)
}

// hashOf is the hash of contents.
func hashOf(t *testing.T, text string) string {
	t.Helper()
	c := exec.Command("git", "hash-object", "--stdin")
	c.Stdin = strings.NewReader(text)
	out, err := c.Output()
	require.NoError(t, err)
	return strings.TrimSpace(string(out))
}

// oneSide is what a driver makes of contents under a path.
func oneSide(t *testing.T, file, contents, text string) (Source, error) {
	t.Helper()
	_, after, err := Driver([]string{file, os.DevNull, ".", ".", contents, hashOf(t, text), "100644"})
	return after, err
}

// Contents that are in one revision, or in several with the same marks, have those;
// with other marks in each they have none. Whatever the names and the settings.
func TestWhatGitCallsFindsTheRevision(t *testing.T) {
	for _, folder := range spellings() {
		t.Run(folder, func(t *testing.T) {
			repository(t)
			for _, setting := range []string{"log.showRoot=false", "log.follow=true", "log.showSignature=true", "log.diffMerges=first-parent",
				"diff.relative=true", "color.ui=always", "core.abbrev=5", "diff.renames=copies", "core.quotePath=true", "diff.noprefix=true", "status.renames=false"} {
				name, value, _ := strings.Cut(setting, "=")
				git(t, "config", name, value)
			}
			file := path.Join(folder, "m.yaml")
			commit(t, folder, "mission one", "marks one", "one")
			commit(t, folder, "mission two", "marks two", "two")
			commit(t, folder, "mission three", "marks two", "three")
			commit(t, folder, "mission three", "marks three", "four")
			commit(t, "abc", "mission one", "marks of another", "another") // which [a]*? matches

			for _, c := range []struct{ mission, marks, why string }{
				{"mission two", "marks two", ""},
				{"mission three", "", "differ in it; name the revisions, as in merestone diff --git REV1..REV2 MISSION"},
				{"mission none", "", "no revision that this repository knows has it, nor has the index"},
			} {
				side, err := oneSide(t, file, copied(t, "m.yaml", c.mission), c.mission)
				assert.Equal(t, "b/"+file, side.Name)
				converted, failed := Textconv(copied(t, "m.yaml", c.mission), nil)
				if c.why != "" {
					hasNone(t, side, err, c.why)
					hasNone(t, converted, failed, c.why)
					continue
				}
				holds(t, side, err, c.mission, c.marks)
				holds(t, converted, failed, c.mission, c.marks)
			}
			// In both folders, which only the whole path tells apart; --relative and
			// textconv have less.
			s, err := oneSide(t, "m.yaml", copied(t, "m.yaml", "mission one"), "mission one")
			hasNone(t, s, err, "differ in it")
			s, err = Textconv(copied(t, "m.yaml", "mission one"), nil)
			hasNone(t, s, err, "differ in it")
			if folder != "." {
				s, err = oneSide(t, file, copied(t, "m.yaml", "mission one"), "mission one")
				holds(t, s, err, "mission one", "marks one")
			}

			// What is staged, and the file itself.
			put(t, folder, "staged", "marks staged")
			git(t, "add", "-A")
			s, err = oneSide(t, file, copied(t, "m.yaml", "staged"), "staged")
			holds(t, s, err, "staged", "marks staged")
			s, err = oneSide(t, file, file, "staged")
			holds(t, s, err, "staged", "marks staged")
			put(t, folder, "staged", "marks now")
			s, err = oneSide(t, file, file, "staged")
			hasNone(t, s, err, "the working tree and the index differ in it")
			s, err = Textconv(file, nil)
			hasNone(t, s, err, "the working tree and the index differ in it")
			put(t, folder, "now", "marks now")
			_, s, err = Driver([]string{file, os.DevNull, ".", ".", file, strings.Repeat("0", 40), "100644"})
			holds(t, s, err, "now", "marks now")
			s, err = Textconv(file, nil)
			holds(t, s, err, "now", "marks now")
		})
	}
}

func TestTheDriversArguments(t *testing.T) {
	repository(t)
	commit(t, "grove", "mission one", "marks one", "one")
	file, hash := copied(t, "m.yaml", "mission one"), hashOf(t, "mission one")
	before, after, err := Driver([]string{"m.yaml", "/dev/null", ".", ".", file, hash, "100644", "grove/m.yaml", "a remark\n"})
	holds(t, after, err, "mission one", "marks one")
	assert.Equal(t, Source{Name: "a/m.yaml", Path: "m.yaml", Absent: true}, before)
	assert.Equal(t, "b/grove/m.yaml", after.Name)
	for mode, what := range map[string]string{"120000": "m.yaml: it is a symbolic link", "160000": "m.yaml: it is a submodule"} {
		_, _, err = Driver([]string{"m.yaml", "/dev/null", ".", ".", file, hash, mode})
		assert.ErrorAs(t, err, new(NotCompared))
		assert.EqualError(t, err, what)
	}
	_, _, err = Driver([]string{"m.yaml", "/dev/null", ".", ".", "nowhere", hash, "100644"})
	assert.EqualError(t, err, "cannot read nowhere: no such file or directory")
}

// All that the repository knows counts: other branches, a stash, what was amended.
func TestWhereRevisionsAreLookedFor(t *testing.T) {
	repository(t)
	commit(t, ".", "root", "marks root", "root")
	git(t, "checkout", "-q", "-b", "side")
	commit(t, ".", "of side", "marks side", "side")
	git(t, "checkout", "-q", "main")
	put(t, ".", "stashed", "marks stashed")
	git(t, "stash", "-q")
	put(t, ".", "amended", "marks before")
	git(t, "commit", "-q", "-a", "-m", "amended")
	put(t, ".", "amended", "marks after")
	git(t, "commit", "-q", "-a", "--amend", "-m", "amended")
	put(t, ".", "side or main", "marks main")
	git(t, "commit", "-q", "-a", "-m", "main")
	_ = exec.Command("git", "merge", "side").Run() // in conflict
	s, err := oneSide(t, "m.yaml", copied(t, "m.yaml", "of side"), "of side")
	holds(t, s, err, "of side", "marks side") // while that is not done
	commit(t, ".", "by the merge", "marks merged", "merge")
	for mission, marks := range map[string]string{"of side": "marks side", "stashed": "marks stashed", "by the merge": "marks merged", "root": "marks root"} {
		s, err := oneSide(t, "m.yaml", copied(t, "m.yaml", mission), mission)
		holds(t, s, err, mission, marks)
	}
	s, err = oneSide(t, "m.yaml", copied(t, "m.yaml", "amended"), "amended")
	hasNone(t, s, err, "differ in it")

	// What a merge has thrown away is there all the same.
	git(t, "checkout", "-q", "-b", "away")
	commit(t, ".", "by the merge", "marks of nobody", "away-tag")
	put(t, ".", "later", "marks later")
	git(t, "commit", "-q", "-a", "-m", "later")
	git(t, "checkout", "-q", "main")
	git(t, "merge", "-q", "-s", "ours", "--no-edit", "away")
	git(t, "branch", "-q", "-D", "away")
	git(t, "tag", "-d", "away-tag")
	git(t, "reflog", "expire", "--expire=now", "--all")
	s, err = oneSide(t, "m.yaml", copied(t, "m.yaml", "by the merge"), "by the merge")
	hasNone(t, s, err, "differ in it")
	s, err = oneSide(t, "m.yaml", copied(t, "m.yaml", "later"), "later")
	holds(t, s, err, "later", "marks later")

	// A revision without the marks is one more case.
	require.NoError(t, os.Remove("marks.csv"))
	git(t, "commit", "-q", "-a", "-m", "no marks")
	s, err = oneSide(t, "m.yaml", copied(t, "m.yaml", "by the merge"), "by the merge")
	hasNone(t, s, err, "differ in it")
	require.NoError(t, os.WriteFile("m.yaml", []byte("alone"), 0o644))
	git(t, "commit", "-q", "-a", "-m", "alone")
	s, err = oneSide(t, "m.yaml", copied(t, "m.yaml", "alone"), "alone")
	hasNone(t, s, err, "there is none in the index")
	// And one in which they are a link.
	require.NoError(t, os.Symlink("x.csv", "marks.csv"))
	require.NoError(t, os.WriteFile("m.yaml", []byte("linked"), 0o644))
	git(t, "add", "-A")
	s, err = oneSide(t, "m.yaml", copied(t, "m.yaml", "linked"), "linked")
	hasNone(t, s, err, "in the index it is no file, or behind a link")
}

// What was fetched without a branch that keeps it is noted in FETCH_HEAD alone, one line
// for each of several. There the same mission has other marks than in the branch.
func TestWhatWasFetchedWithoutABranch(t *testing.T) {
	repository(t)
	commit(t, ".", "mission", "marks", "root")
	git(t, "checkout", "-q", "-b", "one")
	put(t, ".", "slower", "marks of one")
	git(t, "commit", "-q", "-a", "-m", "one")
	git(t, "checkout", "-q", "main")
	git(t, "checkout", "-q", "-b", "two")
	put(t, ".", "faster", "marks of two")
	git(t, "commit", "-q", "-a", "-m", "two")
	git(t, "checkout", "-q", "main")
	there, err := os.Getwd()
	require.NoError(t, err)
	here := filepath.Join(t.TempDir(), "[a-z]* here") // a pattern would not find itself
	git(t, "clone", "-q", there, here)
	for _, branch := range []string{"one", "two"} {
		git(t, "checkout", "-q", branch)
		put(t, ".", map[string]string{"one": "slower", "two": "faster"}[branch], "marks as amended")
		git(t, "commit", "-q", "-a", "--amend", "-m", branch)
	}
	t.Chdir(here)

	s, err := oneSide(t, "m.yaml", copied(t, "m.yaml", "slower"), "slower")
	holds(t, s, err, "slower", "marks of one")
	git(t, "fetch", "-q", there, "one", "two")
	for _, mission := range []string{"slower", "faster"} {
		s, err = oneSide(t, "m.yaml", copied(t, "m.yaml", mission), mission)
		hasNone(t, s, err, "differ in it")
	}

	// What has gone from the store since, and what is no hash, is no trouble.
	require.NoError(t, os.WriteFile(filepath.Join(".git", "FETCH_HEAD"), []byte(strings.Repeat("12", 20)+"\t\tbranch 'gone'\nnothing\n"), 0o644))
	s, err = oneSide(t, "m.yaml", copied(t, "m.yaml", "slower"), "slower")
	holds(t, s, err, "slower", "marks of one")
}

// Git runs neither of them without need: a mission that names no file asks nothing.
func TestWithoutAMarksFileNothingIsLookedUp(t *testing.T) {
	repository(t)
	commit(t, ".", "mission one", "marks one", "one")
	file := copied(t, "m.yaml", "mission one")
	hash := hashOf(t, "mission one")
	t.Setenv("PATH", t.TempDir())
	s, err := Textconv(file, nil)
	require.NoError(t, err)
	assert.Equal(t, "mission one", string(s.Text))
	_, s, err = Driver([]string{"m.yaml", "/dev/null", ".", ".", file, hash, "100644"})
	hasNone(t, s, err, "there is no program git in the folders of PATH")
}

// Outside of any repository a file is a file.
func TestTextconvOfAnyFile(t *testing.T) {
	t.Chdir(t.TempDir())
	put(t, ".", "text", "marks")
	t.Setenv("GIT_CEILING_DIRECTORIES", "/")
	s, err := Textconv("m.yaml", nil)
	holds(t, s, err, "text", "marks")
	here, err := os.Getwd()
	require.NoError(t, err)
	repository(t)
	s, err = Textconv(filepath.Join(here, "m.yaml"), nil)
	holds(t, s, err, "text", "marks")
}
