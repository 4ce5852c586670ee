//go:build !windows

// The program as a process: signals, streams that are closed, limits of the
// system. The real program is built and started, and the headers it leaves are
// looked at.
package cli

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	groveMission  = "../../examples/walnut-grove/mission.yaml"
	groveHeader   = "walnut_grove_rows_mission.h"
	guidance      = "merestone_guidance.h"
	temporaryMark = ".merestone-tmp"
	older         = "/* older */\n"
)

// built is the program.
func built(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "merestone")
	out, err := exec.Command("go", "build", "-o", path, "merestone").CombinedOutput()
	require.NoErrorf(t, err, "%s", out)
	return path
}

// newHeaders is what the program writes, by name.
func newHeaders(t *testing.T, program string) map[string]string {
	t.Helper()
	folder := t.TempDir()
	out, err := exec.Command(program, "compile", groveMission, "-o", folder).CombinedOutput()
	require.NoErrorf(t, err, "%s", out)
	headers := map[string]string{}
	for _, name := range []string{groveHeader, guidance} {
		data, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		headers[name] = string(data)
	}
	return headers
}

// withOlder is a folder with older headers in it.
func withOlder(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	for _, name := range []string{groveHeader, guidance} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(older), 0o644))
	}
	return folder
}

// left is what a run left of the headers, "old" or "new" of guidance and mission,
// and how many temporary files.
func left(t *testing.T, folder string, written map[string]string) (state string, temporaries int) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), temporaryMark) {
			temporaries++
		} else {
			require.Contains(t, written, e.Name())
		}
	}
	for _, name := range []string{guidance, groveHeader} {
		data, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		switch string(data) {
		case older:
			state += " old"
		case written[name]:
			state += " new"
		default:
			require.Fail(t, "neither old nor new", "%s: %d bytes", name, len(data))
		}
	}
	return strings.TrimSpace(state), temporaries
}

// showsTemporary waits until a run writes, or ends.
func showsTemporary(folder string, ended <-chan struct{}) {
	for {
		select {
		case <-ended:
			return
		default:
		}
		if found, err := filepath.Glob(filepath.Join(folder, ".*"+temporaryMark)); err != nil || len(found) > 0 {
			return
		}
	}
}

// Signals at any moment, and in every second run when the first temporary file is
// seen. What can be answered leaves all headers old or all new, and nothing else;
// the parent sees a death by that signal. SIGKILL may leave the new guidance header
// beside the old mission header, never the other way round, and temporary files,
// which the next run removes.
func TestSignals(t *testing.T) {
	program := built(t)
	written := newHeaders(t, program)
	const runs = 50
	for _, sig := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGKILL} {
		t.Run(sig.String(), func(t *testing.T) {
			t.Parallel()
			var atWork, leftOver int
			for n := range runs {
				folder := withOlder(t)
				c := exec.Command(program, "compile", groveMission, "-o", folder)
				var stdout, stderr strings.Builder
				c.Stdout, c.Stderr = &stdout, &stderr
				require.NoError(t, c.Start())
				ended := make(chan struct{})
				go func() {
					_ = c.Wait()
					close(ended)
				}()
				if n%2 == 0 {
					showsTemporary(folder, ended)
				} else {
					time.Sleep(time.Duration(rand.IntN(int(60 * time.Millisecond))))
				}
				_ = c.Process.Signal(sig) // it may have ended
				<-ended
				state, temporaries := left(t, folder, written)
				how, ok := c.ProcessState.Sys().(syscall.WaitStatus)
				require.True(t, ok)
				if how.Exited() {
					require.Equal(t, 0, how.ExitStatus(), "%s", stderr.String())
					require.Equal(t, "new new 0", fmt.Sprint(state, " ", temporaries))
					continue
				}
				require.Equal(t, sig, how.Signal())
				if sig == syscall.SIGKILL {
					require.Contains(t, []string{"old old", "new old", "new new"}, state, "guidance, mission")
					leftOver += temporaries
				} else {
					require.Contains(t, []string{"old old", "new new"}, state)
					require.Zero(t, temporaries)
					if told := "merestone: " + sig.String() + "; nothing was replaced\n"; strings.HasSuffix(stderr.String(), told) {
						require.Equal(t, "old old", state)
						require.Empty(t, stdout.String())
						atWork++
					}
				}
				if n%10 == 0 { // the next run puts everything right
					require.NoError(t, exec.Command(program, "compile", groveMission, "-o", folder).Run())
					state, temporaries = left(t, folder, written)
					require.Equal(t, "new new 0", fmt.Sprint(state, " ", temporaries))
				}
			}
			t.Logf("%d runs, told at work: %d, temporary files left: %d", runs, atWork, leftOver)
			if sig == syscall.SIGKILL {
				assert.NotZero(t, leftOver, "never killed at work")
			} else {
				assert.NotZero(t, atWork, "never told at work")
			}
		})
	}
}

// A signal that the parent had ignored, as nohup does, stays ignored while headers
// are written.
func TestIgnoredSignals(t *testing.T) {
	t.Parallel()
	program := built(t)
	written := newHeaders(t, program)
	hits := 0
	for range 5 {
		folder := withOlder(t)
		c := exec.Command("sh", "-c", `trap "" HUP INT; exec "$0" compile "$1" -o "$2"`, program, groveMission, folder)
		require.NoError(t, c.Start())
		ended := make(chan struct{})
		var failed error
		go func() {
			failed = c.Wait()
			close(ended)
		}()
		showsTemporary(folder, ended)
		if c.Process.Signal(syscall.SIGHUP) == nil && c.Process.Signal(syscall.SIGINT) == nil {
			hits++
		}
		<-ended
		require.NoError(t, failed)
		state, temporaries := left(t, folder, written)
		require.Equal(t, "new new 0", fmt.Sprint(state, " ", temporaries))
	}
	assert.NotZero(t, hits)
}

// Many runs into one folder at the same time, some of them killed: those that are
// not succeed, and the files of running ones are not swept away.
func TestParallelCompiles(t *testing.T) {
	t.Parallel()
	program := built(t)
	written := newHeaders(t, program)
	folder := withOlder(t)
	var all sync.WaitGroup
	for worker := range 4 {
		all.Go(func() {
			for n := range 8 {
				if (n+worker)%4 == 0 { // so that there is something to write
					assert.NoError(t, os.WriteFile(filepath.Join(folder, "x"), []byte(older), 0o644))
					assert.NoError(t, os.Rename(filepath.Join(folder, "x"), filepath.Join(folder, guidance)))
				}
				c := exec.Command(program, "compile", groveMission, "-o", folder)
				var stderr strings.Builder
				c.Stderr = &stderr
				assert.NoError(t, c.Start())
				if worker == 0 {
					time.Sleep(time.Duration(rand.IntN(int(40 * time.Millisecond))))
					_ = c.Process.Kill()
					_ = c.Wait()
					continue
				}
				assert.NoError(t, c.Wait(), "%s", stderr.String())
			}
		})
	}
	all.Wait()
	require.NoError(t, exec.Command(program, "compile", groveMission, "-o", folder).Run())
	state, temporaries := left(t, folder, written)
	assert.Equal(t, "new new 0", fmt.Sprint(state, " ", temporaries))
}

// Limits of the system, from those under which the program cannot even start to
// those that it does not notice. Where memory runs out, Go ends the program at any
// moment, as a kill does; all other limits leave nothing behind.
func TestLimits(t *testing.T) {
	t.Parallel()
	program := built(t)
	written := newHeaders(t, program)
	for limit, values := range map[string][]int{
		"-v": {1 << 10, 10 << 10, 60 << 10, 100 << 10, 200 << 10, 400 << 10, 700 << 10, 1 << 20, 1200 << 10, 1500 << 10, 4 << 20}, // KiB
		"-n": {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 64},
		"-f": {0, 1, 10, 29, 30, 31, 100, 171, 172, 1000}, // blocks of 512 bytes
	} {
		succeeded := 0
		for _, value := range values {
			folder := withOlder(t)
			c := exec.Command("sh", "-c", `ulimit "$0" "$1" && exec "$2" compile "$3" -o "$4"`, limit, fmt.Sprint(value), program, groveMission, folder)
			var stderr strings.Builder
			c.Stderr = &stderr
			failed := c.Run()
			state, temporaries := left(t, folder, written)
			what := fmt.Sprintf("ulimit %s %d: %v: %.200s", limit, value, failed, stderr.String())
			if failed == nil {
				succeeded++
				assert.Equal(t, "new new 0", fmt.Sprint(state, " ", temporaries), what)
			} else {
				assert.True(t, stderr.Len() > 0 || c.ProcessState.ExitCode() < 0, "%s: neither a word nor a signal", what)
				if limit == "-v" {
					assert.Contains(t, []string{"old old", "new old", "new new"}, state, what)
				} else {
					assert.Equal(t, "old old 0", fmt.Sprint(state, " ", temporaries), what)
				}
				assert.NoError(t, exec.Command(program, "compile", groveMission, "-o", folder).Run(), "the next run")
				state, temporaries = left(t, folder, written)
				assert.Equal(t, "new new 0", fmt.Sprint(state, " ", temporaries), what)
			}
			if limit == "-f" && failed != nil {
				assert.Equal(t, exitTrouble, c.ProcessState.ExitCode(), what)
				assert.Regexp(t, `cannot write .*\.h: file too large\n$`, stderr.String())
			}
		}
		assert.NotZero(t, succeeded, limit)
		assert.Less(t, succeeded, len(values), limit)
	}
}

// A disk that fills up at any point of the writing: a small one of memory, in a
// mount namespace of its own. Where mounting is not allowed, the limits on the size
// of files above stand for it.
func TestFullDisk(t *testing.T) {
	t.Parallel()
	program := built(t)
	const script = `
		mount -t tmpfs none "$3" || exit 77
		umount "$3"
		for kib in $(seq 12 4 180); do
			mount -t tmpfs -o size=${kib}k none "$3" || exit 1
			echo old > "$3/merestone_guidance.h"; echo old > "$3/walnut_grove_rows_mission.h"
			"$1" compile "$2" -o "$3" > /dev/null 2> "$4"; status=$?
			echo "$kib $status $(wc -c < "$3/merestone_guidance.h") $(wc -c < "$3/walnut_grove_rows_mission.h") $(ls -A "$3" | wc -l) $(tail -n 1 "$4" | sed 's/ //g')"
			umount "$3"
		done`
	disk, complaints := t.TempDir(), filepath.Join(t.TempDir(), "complaints")
	c := exec.Command("unshare", "--mount", "sh", "-c", script, "sh", program, groveMission, disk, complaints)
	var stderr strings.Builder
	c.Stderr = &stderr
	out, err := c.Output()
	skipWithoutMounts(t, stderr.String())
	require.NoError(t, err, stderr.String())
	failed, succeeded := 0, 0
	for line := range strings.Lines(string(out)) {
		var kib, status, guidanceBytes, missionBytes, files int
		var complaint string
		n, _ := fmt.Sscan(line, &kib, &status, &guidanceBytes, &missionBytes, &files, &complaint)
		require.GreaterOrEqual(t, n, 5, line)
		assert.Equal(t, 2, files, line)
		if status == 0 {
			succeeded++
			assert.Greater(t, min(guidanceBytes, missionBytes), 10000, line)
			continue
		}
		failed++
		assert.Equal(t, exitTrouble, status, line)
		assert.Equal(t, []int{4, 4}, []int{guidanceBytes, missionBytes}, line)
		assert.Regexp(t, `^merestone:cannotwrite.*\.h:nospaceleftondevice$`, complaint, line)
	}
	assert.Greater(t, failed, 15)
	assert.Greater(t, succeeded, 3)
}

// A rename that nothing foretold to fail, here since the header is a mount point:
// what was replaced before it is told, it is the guidance header, and no temporary
// file is left.
func TestARenameThatFails(t *testing.T) {
	t.Parallel()
	program := built(t)
	written := newHeaders(t, program)
	folder := withOlder(t)
	const script = `mount --bind "$3/walnut_grove_rows_mission.h" "$3/walnut_grove_rows_mission.h" || exit 77
		exec "$1" compile "$2" -o "$3"`
	c := exec.Command("unshare", "--mount", "sh", "-c", script, "sh", program, groveMission, folder)
	var stderr strings.Builder
	c.Stderr = &stderr
	failed := c.Run()
	skipWithoutMounts(t, stderr.String())
	require.Error(t, failed)
	assert.Equal(t, exitTrouble, c.ProcessState.ExitCode())
	assert.Contains(t, stderr.String(), fmt.Sprintf("merestone: cannot replace %s/%s (replaced before it: [%q]): device or resource busy\n", folder, groveHeader, filepath.Join(folder, guidance)))
	state, temporaries := left(t, folder, written)
	assert.Equal(t, "new old 0", fmt.Sprint(state, " ", temporaries))
}

// skipWithoutMounts skips a test where the system lets this user mount nothing, as
// in some containers. No package would change that.
func skipWithoutMounts(t *testing.T, complaint string) {
	t.Helper()
	if strings.Contains(complaint, "unshare: ") || strings.Contains(complaint, "mount: ") {
		t.Skipf("mounting is not allowed here: %s", complaint)
	}
}
