//go:build wine

// The program for Windows, run by wine: `make windows`. Not part of `make test`,
// since wine is more than 600 MB. Wine is not Windows: consoles, Windows' own git
// and network shares are not tried here, and neither is a real disk of Windows.
package hosts

import (
	"bufio"
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/cli"
)

// machine is a Windows by wine, with a folder that is its current one.
type machine struct {
	t      *testing.T
	drive  string // C:, as seen from here
	folder string // where it works: C:\work
	env    []string
}

const wine = "/usr/lib/wine/wine64" // Debian's package has it in no PATH

func newMachine(t *testing.T) machine {
	prefix := t.TempDir()
	m := machine{t: t, drive: filepath.Join(prefix, "drive_c"), folder: filepath.Join(prefix, "drive_c", "work")}
	m.env = append(os.Environ(), "WINEPREFIX="+prefix, "WINEDEBUG=-all", "GODEBUG=")
	require.NoError(t, os.MkdirAll(m.folder, 0o755))
	m.here("sh", "-c", wine+" wineboot --init >/dev/null 2>&1")
	t.Cleanup(func() { // or its servers outlive the test by seconds, in a folder that is to go
		stop := exec.Command("/usr/lib/wine/wineserver64", "-k", "-w")
		stop.Env = m.env
		_ = stop.Run()
	})
	source, err := filepath.Abs("testdata/prng.c")
	require.NoError(t, err)
	work := t.TempDir()
	m.in(work, "clang", "--target=x86_64-pc-windows-msvc", "-O2", "-c", source, "-o", "prng.o")
	require.NoError(t, os.WriteFile(filepath.Join(work, "advapi32.def"), []byte("LIBRARY advapi32.dll\nEXPORTS\nSystemFunction036\n"), 0o644))
	m.in(work, "llvm-dlltool", "-m", "i386:x86-64", "-d", "advapi32.def", "-l", "advapi32.lib")
	library := filepath.Join(m.drive, "windows", "system32", "bcryptprimitives.dll")
	if _, err := os.Stat(library); err != nil {
		m.in(work, "lld-link", "/dll", "/nodefaultlib", "/entry:_DllMainCRTStartup", "/out:"+library, "prng.o", "advapi32.lib")
	}
	m.build("merestone.exe", "..")
	m.build("hold.exe", "testdata/hold.go")
	return m
}

func (m machine) build(program, what string) {
	c := exec.Command("go", "build", "-o", filepath.Join(m.drive, program), what)
	c.Env = append(os.Environ(), "GOOS=windows", "GOARCH=amd64", "CGO_ENABLED=0")
	out, err := c.CombinedOutput()
	require.NoError(m.t, err, "%s", out)
}

func (m machine) here(command ...string) { m.in("", command...) }

func (m machine) in(folder string, command ...string) {
	c := exec.Command(command[0], command[1:]...)
	c.Dir, c.Env = folder, m.env
	out, err := c.CombinedOutput()
	require.NoError(m.t, err, "%v (`make windows` installs it): %s", command, out)
}

// merestone runs the program in C:\work, and wants an exit status.
func (m machine) merestone(status int, args ...string) string {
	m.t.Helper()
	c := exec.Command(wine, append([]string{`C:\merestone.exe`}, args...)...)
	c.Dir, c.Env = m.folder, m.env
	out, err := c.CombinedOutput()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		err = nil
	}
	require.NoError(m.t, err)
	require.Equal(m.t, status, c.ProcessState.ExitCode(), "%v: %s", args, out)
	return string(out)
}

func (m machine) write(name string, text []byte) string {
	path := filepath.Join(m.folder, name)
	require.NoError(m.t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(m.t, os.WriteFile(path, text, 0o644))
	return path
}

func (m machine) read(name string) string {
	text, err := os.ReadFile(filepath.Join(m.folder, name))
	require.NoError(m.t, err)
	return string(text)
}

// compiled is what the program here makes of a mission.
func compiled(t *testing.T, mission string) string {
	var out, complaint bytes.Buffer
	require.Zero(t, cli.Run([]string{"compile", mission, "-o", "-"}, strings.NewReader(""), &out, &complaint), complaint.String())
	return out.String()
}

func TestWindows(t *testing.T) {
	m := newMachine(t)
	grove, err := os.ReadFile("../examples/walnut-grove/mission.yaml")
	require.NoError(t, err)
	trees, err := os.ReadFile("../examples/walnut-grove/trees.csv")
	require.NoError(t, err)
	guidance, err := os.ReadFile("../templates/merestone_guidance.h")
	require.NoError(t, err)
	crlf := func(text []byte) []byte { return bytes.ReplaceAll(text, []byte("\n"), []byte("\r\n")) }
	want := compiled(t, "../examples/walnut-grove/mission.yaml")
	const header, second = "walnut_grove_rows_mission.h", "merestone_guidance.h"
	refused := bytes.Replace(grove, []byte("mission: "), []byte("colour: red\nmission: "), 1)

	t.Run("as an editor of Windows saves it", func(t *testing.T) {
		m.write("grove/mission.yaml", crlf(append([]byte("\ufeff"), grove...)))
		m.write("grove/trees.csv", crlf(append([]byte("\ufeff"), trees...)))
		for i, mission := range []string{`grove\mission.yaml`, "grove/mission.yaml", `C:\work\grove\mission.yaml`, "C:/work/grove/mission.yaml", `C:grove\mission.yaml`, `\work\grove\mission.yaml`, `.\grove\..\grove\mission.yaml`, `\\?\C:\work\grove\mission.yaml`, "Z:" + strings.ReplaceAll(filepath.Join(m.folder, "grove/mission.yaml"), "/", `\`)} {
			out := "out" + string(rune('a'+i))
			m.merestone(0, "compile", mission, "-o", `deep\`+out)
			assert.Equal(t, want, m.read("deep/"+out+"/"+header), mission)
			assert.Equal(t, string(guidance), m.read("deep/"+out+"/"+second), mission)
		}
	})
	t.Run("names in findings", func(t *testing.T) {
		m.write("wrong/mission.yaml", refused)
		m.write("wrong/trees.csv", trees)
		assert.Contains(t, m.merestone(1, "check", `wrong\mission.yaml`), "wrong/mission.yaml:")
		assert.Contains(t, m.merestone(1, "check", "--format", "sarif", `C:\work\wrong\mission.yaml`), `"file:///C:/work/wrong/mission.yaml"`)
		assert.Contains(t, m.merestone(1, "check", "--format", "sarif", `wrong\mission.yaml`), `"uri": "wrong/mission.yaml"`)
		assert.Contains(t, m.merestone(2, "check", `C:\work\none.yaml`), `cannot read C:\work\none.yaml: `)
		assert.Contains(t, m.merestone(2, "diff", `C:\work\none.yaml`, `grove\mission.yaml`), `cannot read C:\work\none.yaml: `)
	})
	t.Run("letters and folders", func(t *testing.T) {
		m.write("Bäume und Wege/mission.yaml", bytes.Replace(grove, []byte("marks_file: trees.csv"), []byte("marks_file: baumreihen/über.csv"), 1))
		m.write("Bäume und Wege/baumreihen/über.csv", trees)
		m.merestone(0, "compile", `Bäume und Wege\mission.yaml`, "-o", `Bäume und Wege\Kopf`)
		text := m.read("Bäume und Wege/Kopf/" + header)
		assert.Equal(t, want, text)
	})
	t.Run("a refusal leaves the earlier headers", func(t *testing.T) {
		m.write("grove/refused.yaml", refused)
		before := m.stamps("deep/outa")
		assert.Contains(t, m.merestone(1, "compile", `grove\refused.yaml`, "-o", `deep\outa`), "nothing was written")
		assert.Contains(t, m.merestone(0, "compile", `grove\mission.yaml`, "-o", `deep\outa`), "unchanged")
		assert.Equal(t, before, m.stamps("deep/outa"))
		m.merestone(1, "compile", `grove\refused.yaml`, "-o", "none")
		assert.NoFileExists(t, filepath.Join(m.folder, "none"))
	})
	t.Run("a header is replaced", func(t *testing.T) {
		m.write("deep/outb/"+header, []byte("/* old */\r\n"))
		m.merestone(0, "compile", `grove\mission.yaml`, "-o", `deep\outb`)
		assert.Equal(t, want, m.read("deep/outb/"+header))
		assert.Len(t, m.stamps("deep/outb"), 2, "nothing else is left")
		m.merestone(0, "verify", `deep\outb\`+header, `grove\mission.yaml`)
	})
	t.Run("a header that is held open", func(t *testing.T) {
		m.write("deep/outc/"+header, []byte("/* old */\r\n"))
		m.write("deep/outc/"+second, []byte("/* old */\r\n"))
		holder := exec.Command(wine, `C:\hold.exe`, `C:\work\deep\outc\`+header, "6")
		holder.Env = m.env
		pipe, err := holder.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, holder.Start())
		line, err := bufio.NewReader(pipe).ReadString('\n')
		require.NoError(t, err)
		require.Equal(t, "open", strings.TrimSpace(line))
		began := time.Now()
		said := m.merestone(2, "compile", `grove\mission.yaml`, "-o", `deep\outc`)
		assert.Contains(t, said, "another program")
		assert.Less(t, time.Since(began), 6*time.Second, "it was held all the time")
		assert.Equal(t, []string{"/* old */\r\n", "/* old */\r\n"}, []string{m.read("deep/outc/" + header), m.read("deep/outc/" + second)})
		assert.Len(t, m.stamps("deep/outc"), 2)
		require.NoError(t, holder.Wait())
		m.merestone(0, "compile", `grove\mission.yaml`, "-o", `deep\outc`)
		assert.Equal(t, want, m.read("deep/outc/"+header))
	})
	t.Run("as git's diff driver", func(t *testing.T) {
		m.write("grove/slower.yaml", crlf(bytes.Replace(grove, []byte("cruise: 0.60 m/s"), []byte("cruise: 0.50 m/s"), 1)))
		zero := strings.Repeat("0", 40)
		said := m.merestone(0, "diff", "--driver", "grove/mission.yaml", `C:\work\grove\mission.yaml`, zero, "100644", `C:\work\grove\slower.yaml`, zero, "100644")
		assert.Contains(t, said, "0.60 m/s → 0.50 m/s")
		for _, none := range []string{"nul", "NUL", "/dev/null"} {
			said := m.merestone(0, "diff", "--driver", "grove/mission.yaml", none, ".", ".", `C:\work\grove\mission.yaml`, zero, "100644")
			assert.Contains(t, said, "b/grove/mission.yaml", none)
			assert.NotContains(t, said, "empty", none)
		}
	})
	t.Run("names of devices", func(t *testing.T) {
		for _, device := range []string{"NUL", "AUX", "COM1", `grove\NUL`} {
			m.merestone(2, "compile", `grove\mission.yaml`, "-o", device)
		}
		assert.Contains(t, m.merestone(1, "check", "NUL"), "the file is empty")
		for _, device := range []string{"NUL", "CON", "aux.csv", "trees.csv:stream"} {
			m.write("grove/device.yaml", bytes.Replace(grove, []byte("marks_file: trees.csv"), []byte("marks_file: '"+device+"'"), 1))
			assert.Contains(t, m.merestone(1, "check", `grove\device.yaml`), "spec.bad-file", device)
		}
		// As the name of a mission they only begin the names of files.
		m.write("grove/named.yaml", bytes.Replace(grove, []byte("mission: walnut-grove-rows"), []byte("mission: con"), 1))
		m.merestone(0, "compile", `grove\named.yaml`, "-o", "con_out")
		assert.FileExists(t, filepath.Join(m.folder, "con_out/con_mission.h"))
		m.write("today.csv", []byte("name,latitude,longitude,uncertainty\nK1,45.301177508,6.123343004,1 cm\nK2,45.301718061,6.124177304,1 cm\n"))
		assert.Contains(t, m.merestone(2, "shift", `grove\mission.yaml`, "today.csv", "-o", `deep\nul.h`, "--day", "2026-05-10"), "device")
	})
}

// stamps are the names, sizes and times of the files of a folder.
func (m machine) stamps(folder string) []string {
	entries, err := os.ReadDir(filepath.Join(m.folder, folder))
	require.NoError(m.t, err)
	var all []string
	for _, e := range entries {
		info, err := e.Info()
		require.NoError(m.t, err)
		all = append(all, e.Name()+" "+info.ModTime().Format(time.RFC3339Nano))
	}
	return all
}
