// The JSON printer: one report as one object, for programs.
//
// The shape is stable. Every member below is always there, lists may be empty
// but are never null; members may be added, none is renamed or removed:
//
//	{
//	  "tool": "merestone",
//	  "version": "0.1.0",                 version of the tool
//	  "mission": "grove/mission.yaml",    the file, as named on the command line
//	  "findings": [
//	    {
//	      "rule": "geometry.clearance",   what `merestone explain` takes
//	      "severity": "error",            error, warning or note
//	      "message": "...",               one line
//	      "remedy": "...",                one line, may be empty
//	      "at": {"file": "...", "line": 3, "column": 7, "width": 4},
//	      "about": [{"kind": "leg", "name": "A–B", "index": 0}, ...],
//	      "numbers": [{"name": "clearance", "value": 0.41, "unit": "m"}],
//	      "related": [{"at": {"file": "..."}, "message": "..."}],
//	      "fixes": [{
//	        "does": "write 12.3444 m",    in a few words, for a person to choose by
//	        "certain": false,             true: what `merestone check --fix` does
//	        "edits": [{"file": "...", "start": {"line": 3, "column": 7},
//	                   "end": {"line": 3, "column": 15}, "text": "12.3444 m"}]
//	      }]
//	    }
//	  ],
//	  "counts": {"error": 1, "warning": 0, "note": 0}
//	}
//
// Lines and columns count from 1, columns and widths in Unicode code points.
// In "at", line, column and width are left out where a finding is about the
// file as a whole. A value that is not finite is null, as JSON has no other
// way to write it.
//
// "fixes" are alternatives; the edits of one are to be made together, and none overlaps
// another. Each puts its text in place of what stands from start up to, and without,
// end; where both are one place, nothing is replaced. A line end in a text is a line
// feed, to be written as the file has them. A byte order mark counts as no column.
//
// "about" lists the things that the finding is about, the first mainly. kind is
// leg, waypoint, mark, tape, obstacle, edge, hold, boundary, site, base, receiver,
// rover, geofence, holds, board, pin, key or file. index counts from 0 in
// the mission's list of the kind and is left out where there is none: legs and
// waypoints along the route, marks with those of the marks_file after the others.
// An edge is counted in its ring, from the first mark of the list to the second,
// and has "ring": the index of the obstacle, -1 for the boundary.
package diag

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"

	"merestone/internal/words"
)

// Report is what the JSON and SARIF printers print: every finding about one
// mission, and which tool says so.
type Report struct {
	Tool     string    // name of the program
	Version  string    // its semantic version
	Mission  string    // the mission file, as the user named it
	Findings []Finding // printed in this order
	More     []Member  // of the object in JSON, behind the others
}

// Member is a member of a JSON object.
type Member struct {
	Name  string
	Value any
}

type jsonReport struct {
	Tool     string        `json:"tool"`
	Version  string        `json:"version"`
	Mission  string        `json:"mission"`
	Findings []jsonFinding `json:"findings"`
	Counts   jsonCounts    `json:"counts"`
}

type jsonFinding struct {
	Rule     ID            `json:"rule"`
	Severity string        `json:"severity"`
	Message  string        `json:"message"`
	Remedy   string        `json:"remedy"`
	At       Position      `json:"at"`
	About    []jsonSubject `json:"about"`
	Numbers  []jsonNumber  `json:"numbers"`
	Related  []Related     `json:"related"`
	Fixes    []jsonFix     `json:"fixes"`
}

type jsonFix struct {
	Does    string     `json:"does"`
	Certain bool       `json:"certain"`
	Edits   []jsonEdit `json:"edits"`
}

type jsonEdit struct {
	File  string    `json:"file"`
	Start jsonPlace `json:"start"`
	End   jsonPlace `json:"end"`
	Text  string    `json:"text"`
}

type jsonPlace struct {
	Line   int `json:"line"`
	Column int `json:"column"`
}

type jsonSubject struct {
	Kind  Kind   `json:"kind"`
	Name  string `json:"name"`
	Index *int   `json:"index,omitempty"`
	Ring  *int   `json:"ring,omitempty"`
}

type jsonNumber struct {
	Name  string   `json:"name"`
	Value *float64 `json:"value"`
	Unit  string   `json:"unit"`
}

type jsonCounts struct {
	Error   int `json:"error"`
	Warning int `json:"warning"`
	Note    int `json:"note"`
}

// WriteJSON prints a report as one JSON object of the shape above, indented by
// two spaces and ended by a newline. It fails only when w does.
func WriteJSON(w io.Writer, report Report) error {
	out := jsonReport{
		Tool: report.Tool, Version: report.Version, Mission: report.Mission,
		Findings: []jsonFinding{},
		Counts: jsonCounts{
			Error:   Count(report.Findings, Error),
			Warning: Count(report.Findings, Warning),
			Note:    Count(report.Findings, Note),
		},
	}
	for _, f := range report.Findings {
		out.Findings = append(out.Findings, jsonFinding{
			Rule: f.Rule, Severity: f.Severity.String(), Message: f.Message(), Remedy: f.Remedy,
			At: f.At, About: jsonSubjects(f.About), Numbers: jsonNumbers(f.Numbers), Related: append([]Related{}, f.Related...),
			Fixes: jsonFixes(f.Fixes),
		})
	}
	if len(report.More) == 0 {
		return words.WriteJSON(w, out)
	}
	// encoding/json has no ordered objects: the further members are put in before the
	// end of that which has the others.
	var object bytes.Buffer
	if err := words.WriteJSON(&object, out); err != nil {
		return err
	}
	text := bytes.TrimSuffix(object.Bytes(), []byte("\n}\n"))
	for _, m := range report.More {
		var value bytes.Buffer
		if err := words.WriteJSON(&value, m.Value); err != nil {
			return err
		}
		text = fmt.Appendf(text, ",\n  %q: %s", m.Name, strings.ReplaceAll(strings.TrimSuffix(value.String(), "\n"), "\n", "\n  "))
	}
	_, err := w.Write(append(text, "\n}\n"...))
	return err
}

func jsonSubjects(about []Subject) []jsonSubject {
	out := make([]jsonSubject, len(about))
	for i := range about {
		s := &about[i]
		out[i] = jsonSubject{Kind: s.Kind, Name: s.Name}
		if s.Index >= 0 {
			out[i].Index = &s.Index
		}
		if s.Kind == Edge {
			out[i].Ring = &s.Ring
		}
	}
	return out
}

func jsonNumbers(numbers []Number) []jsonNumber {
	out := make([]jsonNumber, len(numbers))
	for i, n := range numbers {
		out[i] = jsonNumber{Name: n.Name, Unit: n.Unit}
		if !math.IsNaN(n.Value) && !math.IsInf(n.Value, 0) {
			out[i].Value = &n.Value
		}
	}
	return out
}

func jsonFixes(fixes []Fix) []jsonFix {
	out := make([]jsonFix, len(fixes))
	for i, fix := range fixes {
		out[i] = jsonFix{Does: fix.Does, Certain: fix.Certain, Edits: make([]jsonEdit, len(fix.Edits))}
		for k, e := range fix.Edits {
			out[i].Edits[k] = jsonEdit{File: e.File, Start: jsonPlace{e.Line, e.Column}, End: jsonPlace{e.EndLine, e.EndColumn}, Text: e.Text}
		}
	}
	return out
}
