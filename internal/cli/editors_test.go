// The schema in an editor, by a language server of other authors, the npm package
// yaml-language-server: what it offers, shows and complains of while a mission is written.
// It is spoken to as an editor does (Language Server Protocol 3.17, JSON-RPC 2.0 over its
// standard streams) and gets the schema by the one comment line of the README.
package cli

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"net/textproto"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/missiontest"
	"merestone/spec"
)

// server is a language server with one folder open.
type server struct {
	t      *testing.T
	in     io.WriteCloser
	said   chan message
	folder string
	last   int // id of the last request
	found  map[string][]diagnostic
}

type message struct {
	ID     *int            `json:"id"`
	Method string          `json:"method"`
	Params json.RawMessage `json:"params"`
	Result json.RawMessage `json:"result"`
	Error  json.RawMessage `json:"error"`
}

type diagnostic struct {
	Range struct {
		Start struct{ Line, Character int }
	}
	Message string
}

// patience is how long the server may take for one answer; it takes less than two seconds
// for the first.
const patience = 30 * time.Second

// serve starts the server in a folder.
func serve(t *testing.T, folder string) *server {
	t.Helper()
	program, err := filepath.Abs("../../.ci/npm/node_modules/yaml-language-server/bin/yaml-language-server")
	require.NoError(t, err)
	c := exec.Command("node", program, "--stdio")
	in, err := c.StdinPipe()
	require.NoError(t, err)
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start(), "node and the npm package yaml-language-server are needed: run make deps")
	t.Cleanup(func() {
		_ = c.Process.Kill()
		_ = c.Wait()
	})
	s := &server{t: t, in: in, folder: folder, said: make(chan message), found: map[string][]diagnostic{}}
	go s.listen(out)
	s.ask("initialize", map[string]any{
		"processId": os.Getpid(), "rootUri": s.uri(""),
		"capabilities": map[string]any{
			"textDocument": map[string]any{
				"completion":         map[string]any{"completionItem": map[string]any{"documentationFormat": []string{"markdown"}}},
				"hover":              map[string]any{"contentFormat": []string{"markdown"}},
				"publishDiagnostics": map[string]any{},
			},
		},
	}, nil)
	s.tell("initialized", map[string]any{})
	// No store of schemas is asked: the network is not.
	s.tell("workspace/didChangeConfiguration", map[string]any{"settings": map[string]any{"yaml": map[string]any{
		"schemaStore": map[string]any{"enable": false}, "hover": true, "completion": true, "validate": true,
	}}})
	return s
}

// listen takes messages apart until the server ends.
func (s *server) listen(out io.Reader) {
	defer close(s.said)
	lines := textproto.NewReader(bufio.NewReader(out))
	for {
		head, err := lines.ReadMIMEHeader()
		if err != nil {
			return
		}
		length, err := strconv.Atoi(head.Get("Content-Length"))
		if err != nil {
			return
		}
		body := make([]byte, length)
		if _, err := io.ReadFull(lines.R, body); err != nil {
			return
		}
		var m message
		if json.Unmarshal(body, &m) != nil {
			return
		}
		s.said <- m
	}
}

func (s *server) uri(file string) string {
	return (&url.URL{Scheme: "file", Path: filepath.ToSlash(filepath.Join(s.folder, file))}).String()
}

func (s *server) send(m map[string]any) {
	m["jsonrpc"] = "2.0"
	body, err := json.Marshal(m)
	require.NoError(s.t, err)
	_, err = fmt.Fprintf(s.in, "Content-Length: %d\r\n\r\n%s", len(body), body)
	require.NoError(s.t, err)
}

func (s *server) tell(method string, params any) {
	s.send(map[string]any{"method": method, "params": params})
}

// ask waits for the answer.
func (s *server) ask(method string, params, result any) {
	s.t.Helper()
	s.last++
	s.send(map[string]any{"id": s.last, "method": method, "params": params})
	s.until("the answer to "+method, func(m message) bool {
		if m.Method != "" || m.ID == nil || *m.ID != s.last {
			return false
		}
		require.Empty(s.t, string(m.Error))
		if result != nil {
			require.NoError(s.t, json.Unmarshal(m.Result, result), "%s", m.Result)
		}
		return true
	})
}

// until takes what the server says, and answers what it asks for, until something came.
func (s *server) until(what string, came func(message) bool) {
	s.t.Helper()
	end := time.After(patience)
	for {
		select {
		case m, open := <-s.said:
			require.True(s.t, open, "the server ended before %s", what)
			switch {
			case m.Method == "textDocument/publishDiagnostics":
				var p struct {
					URI         string
					Diagnostics []diagnostic
				}
				require.NoError(s.t, json.Unmarshal(m.Params, &p))
				s.found[p.URI] = p.Diagnostics
			case m.Method == "workspace/configuration": // every section as it is
				s.send(map[string]any{"id": *m.ID, "result": []any{map[string]any{"schemaStore": map[string]any{"enable": false}, "hover": true, "completion": true, "validate": true}, nil, nil, nil, nil}})
			case m.Method != "" && m.ID != nil:
				s.send(map[string]any{"id": *m.ID, "result": nil})
			}
			if came(m) {
				return
			}
		case <-end:
			require.FailNow(s.t, "no "+what)
		}
	}
}

// opened hands a file over, and gives what the server says of it.
func (s *server) opened(name, text string) []diagnostic {
	s.t.Helper()
	uri := s.uri(name)
	s.tell("textDocument/didOpen", map[string]any{"textDocument": map[string]any{"uri": uri, "languageId": "yaml", "version": 1, "text": text}})
	s.until("diagnostics of "+name, func(m message) bool {
		_, here := s.found[uri]
		return here
	})
	return s.found[uri]
}

// at is the place behind a passage of a text, which must be in it once.
func (s *server) at(name, text, passage string) map[string]any {
	s.t.Helper()
	require.Equal(s.t, 1, strings.Count(text, passage), passage)
	before := text[:strings.Index(text, passage)+len(passage)]
	line := strings.Count(before, "\n")
	column := len([]rune(before[strings.LastIndexByte(before, '\n')+1:]))
	return map[string]any{"textDocument": map[string]any{"uri": s.uri(name)}, "position": map[string]any{"line": line, "character": column}}
}

// offer is one thing that completion offers.
type offer struct{ inserts, says string }

// offered is what completion offers behind a passage.
func (s *server) offered(name, text, passage string) map[string]offer {
	s.t.Helper()
	var list struct {
		Items []struct {
			Label, InsertText string
			Documentation     json.RawMessage
		}
	}
	s.ask("textDocument/completion", s.at(name, text, passage), &list)
	offers := map[string]offer{}
	for _, i := range list.Items {
		offers[i.Label] = offer{i.InsertText, string(i.Documentation)}
	}
	return offers
}

// switchedOn is the README's line that gives a mission its schema.
func switchedOn(t *testing.T) string {
	t.Helper()
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	line := regexp.MustCompile(`(?m)^    (# yaml-language-server: \$schema=\S+)$`).FindSubmatch(readme)
	require.NotNil(t, line)
	return string(line[1]) + "\n"
}

// editor is a server in a folder with the schema, under the name of the README's line.
func editor(t *testing.T) (*server, string) {
	t.Helper()
	folder, line := t.TempDir(), switchedOn(t)
	status, schema, stderr := run("schema")
	require.Equal(t, exitClean, status, stderr)
	_, name, _ := strings.Cut(strings.TrimSpace(line), "=")
	require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(schema), 0o644))
	return serve(t, folder), line
}

func TestEditors(t *testing.T) {
	s, line := editor(t)
	grove, err := os.ReadFile(missiontest.Example(t, "walnut-grove"))
	require.NoError(t, err)

	t.Run("nothing is wrong with the examples", func(t *testing.T) {
		for _, path := range append(missiontest.Examples(t), "../../testdata/every-key/mission.yaml") {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.Empty(t, s.opened(filepath.Base(filepath.Dir(path))+".yaml", line+string(text)), path)
		}
	})

	t.Run("what is wrong", func(t *testing.T) {
		text := line + missiontest.Changed(t, string(grove),
			missiontest.Edit{"rover:\n", "rover:\n  colour: red\n"},
			missiontest.Edit{"  width: ", "  width: 4 # "},
			missiontest.Edit{"  required: fixed", "  required: fix"})
		var told []string
		for _, d := range s.opened("broken.yaml", text) {
			told = append(told, strings.TrimSpace(strings.Split(text, "\n")[d.Range.Start.Line])+" <- "+d.Message)
		}
		require.Len(t, told, 3)
		slices.Sort(told)
		assert.Contains(t, told[0], "colour: red <- Property colour is not allowed")
		assert.Contains(t, told[1], "required: fix ")
		assert.Contains(t, told[1], `<- Value is not accepted. Valid values: "fixed", "float"`)
		assert.Contains(t, told[2], "width: 4 # ")
	})

	t.Run("a new mission", func(t *testing.T) {
		status, text, stderr := run("new", "yard", "-o", "-")
		require.Equal(t, exitClean, status, stderr)
		text = line + text
		open := 0
		for _, d := range s.opened("new.yaml", text) {
			assert.Contains(t, strings.Split(text, "\n")[d.Range.Start.Line], spec.Gap, d.Message)
			open++
		}
		assert.Positive(t, open)
	})

	t.Run("hover", func(t *testing.T) {
		text := line + string(grove)
		s.opened("hover.yaml", text)
		for passage, want := range map[string]string{
			"\nrover:\n  wid":    "greatest width, with all that sticks out (length, more than 0 m, at most 100 m)",
			"\n  closed":         "whether a leg leads from the last waypoint to the first (true or false). If not written: false",
			"\n  latency":        "from the instant of a fix to the board having it (duration, from 0 s to 60 s). To find it: ",
			"\ndrive_path":       "what lies in series from the battery to the motors, and what opens it",
			"BASE: {latitude":    "WGS 84, north positive (latitude: decimal degrees",
			"name: thumb switch": "of the circuit (name, at most 40 characters)",
		} {
			var shown struct{ Contents struct{ Value string } }
			s.ask("textDocument/hover", s.at("hover.yaml", text, passage), &shown)
			assert.Contains(t, shown.Contents.Value, want, passage)
		}
	})

	t.Run("completion", func(t *testing.T) {
		text := line + "mission: yard\nrover:\n  width: 0.4 m\n  \nreceiver:\n  required: \nholds:\n  - name: thumb switch\n    \nmarks:\n  A:\n    \ndrive_path:\n  - name: relay\n    \n"
		s.opened("completed.yaml", text)
		for _, c := range []struct {
			behind  string
			offered []string
			not     []string
			one     string // of which it says:
			says    string
		}{
			{"  width: 0.4 m\n  ", []string{"length", "speed", "coast", "cross_track", "tilt", "antenna"}, []string{"width", "mission", "pin"}, "cross_track", "how far off the line of a leg"},
			{"  required: ", []string{"fixed", "float"}, []string{"standalone"}, "fixed", "the poorest solution"},
			{"  - name: thumb switch\n    ", []string{"kind", "pin", "contact", "debounce", "second_channel"}, []string{"name", "off_delay"}, "pin", "the input pin that reads it"},
			{"  A:\n    ", []string{"latitude", "longitude", "height", "uncertainty"}, []string{"radius"}, "height", "above the WGS 84 ellipsoid"},
			{"  - name: relay\n    ", []string{"kind", "opened_by", "off_delay", "coil_diode"}, []string{"pin"}, "off_delay", "longest time from what opens it"},
		} {
			offers := s.offered("completed.yaml", text, c.behind)
			labels := slices.Collect(maps.Keys(offers))
			assert.Subset(t, labels, c.offered, c.behind)
			for _, label := range c.not {
				assert.NotContains(t, labels, label, c.behind)
			}
			assert.Contains(t, offers[c.one].says, c.says)
			for label, o := range offers { // no value that nobody chose
				if c.behind != "  required: " {
					assert.NotRegexp(t, `: *(\$\{[0-9]+:[^}]+\}|[a-z0-9])`, o.inserts, label)
				}
			}
		}
	})
}
