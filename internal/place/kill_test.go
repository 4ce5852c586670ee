// Runs that are killed, at any moment, by a signal that no program can answer.
package place

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// placeInto makes the test program one that puts generation after generation of
// files into a folder, until it is killed.
const placeInto = "MERESTONE_PLACE_INTO"

func TestMain(m *testing.M) {
	folder := os.Getenv(placeInto)
	if folder == "" {
		os.Exit(m.Run())
	}
	first, err := strconv.Atoi(os.Args[1])
	for n := first; err == nil; n++ {
		_, err = Files(context.Background(), folder, generation(n))
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(2)
}

const filesOfAGeneration = 6

// generation is a set of files that all say which one it is, over and over.
func generation(n int) []File {
	var files []File
	for i := range filesOfAGeneration {
		files = append(files, File{fmt.Sprintf("%d.h", i), bytes.Repeat(fmt.Appendf(nil, "%d\n", n), 3000)})
	}
	return files
}

// Whatever the moment, each file is whole, and none is newer than one behind it in
// the list. What is left over is a temporary file at most, which the next run
// removes.
func TestKilledRuns(t *testing.T) {
	folder := t.TempDir()
	_, err := Files(t.Context(), folder, generation(1))
	require.NoError(t, err)
	last, between, swept := 1, 0, 0
	for range 120 {
		c := exec.Command(os.Args[0], strconv.Itoa(last+1))
		c.Env = append(os.Environ(), placeInto+"="+folder)
		var complaint strings.Builder
		c.Stderr = &complaint
		require.NoError(t, c.Start())
		time.Sleep(time.Duration(rand.IntN(int(40 * time.Millisecond))))
		require.NoError(t, c.Process.Kill())
		require.Error(t, c.Wait())
		require.Empty(t, complaint.String())

		newest := 0
		for i := range filesOfAGeneration {
			content := text(t, filepath.Join(folder, fmt.Sprintf("%d.h", i)))
			line, _, _ := strings.Cut(content, "\n")
			n, err := strconv.Atoi(line)
			require.NoError(t, err)
			require.Equal(t, string(generation(n)[i].Data), content, "whole")
			require.GreaterOrEqual(t, n, newest, "%d.h is older than one that may need it", i)
			if i > 0 && n > newest {
				between++
			}
			newest = n
		}
		last = newest
		left := 0
		for _, name := range names(t, folder) {
			if !strings.HasSuffix(name, ".h") {
				require.True(t, strings.HasSuffix(name, temporaryEnding), name)
				left++
			}
		}
		if left > 0 && rand.IntN(2) == 0 {
			swept++
			_, err = Files(t.Context(), folder, nil)
			require.NoError(t, err)
			assert.Len(t, names(t, folder), filesOfAGeneration)
		}
	}
	assert.NotZero(t, swept, "no run was killed at work")
	assert.NotZero(t, between, "no run was killed between two renames")
	t.Logf("%d generations; killed between two renames: %d times; left overs swept: %d times", last, between, swept)
}
