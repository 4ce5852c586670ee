// Package gen writes the C headers of a mission: <mission>_mission.h from a
// template, with the tables that the board reads, and merestone_guidance.h as it
// stands. It only reads a plan; the same plan gives the same bytes.
//
// This file: the files of one mission, and their digest.
package gen

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"text/template"

	"merestone/internal/guidance"
	"merestone/internal/plan"
	"merestone/templates"
)

// GuidanceHeader is the name of the header that is the same for every mission.
const GuidanceHeader = "merestone_guidance.h"

// File is one file to be written.
type File struct {
	Name string
	Data []byte
}

// Files gives the headers of a mission: the mission's own first. Tool names the
// program's version. A plan that is incomplete, or whose tables the board cannot
// hold, is an error.
func Files(p *plan.Plan, tool string) ([]File, error) {
	if p == nil || p.Incomplete {
		return nil, errors.New("the mission is not resolved in full, so there is nothing to write")
	}
	board, err := Board(p, tool)
	if err != nil {
		return nil, err
	}
	header, err := render(p, board)
	if err != nil {
		return nil, err
	}
	fixed, err := templates.Files.ReadFile(GuidanceHeader)
	if err != nil {
		return nil, fmt.Errorf("the guidance header is not in this build: %w", err)
	}
	return []File{
		{Name: p.Identifier + "_mission.h", Data: header},
		{Name: GuidanceHeader, Data: fixed},
	}, nil
}

// Board is the mission as the board holds it, with its record filled in and
// every limit of the guidance header checked.
func Board(p *plan.Plan, tool string) (guidance.Mission, error) {
	board := p.Guidance
	digest, err := Digest(p)
	if err != nil {
		return board, err
	}
	board.Record = guidance.Record{Format: guidance.RecordFormat, Digest: digest, Mission: p.Mission, Tool: tool}
	if err := board.Validate(); err != nil {
		return board, fmt.Errorf("the board's tables cannot hold this mission: %w", err)
	}
	return board, nil
}

// Digest is the SHA-256 of the resolved plan: of the board's tables and of the
// names that go with them, as JSON in the order of the types' fields. It changes
// when the drive changes, and not when comments, the order of keys, the spelling
// of units or the tool's version do.
func Digest(p *plan.Plan) ([32]byte, error) {
	resolved := struct {
		Board     guidance.Mission
		Mission   string
		Waypoints []string
		Boundary  []string
		Obstacles []string
		Holds     []string
	}{Board: p.Guidance, Mission: p.Mission}
	resolved.Board.Record = guidance.Record{}
	for _, w := range p.Waypoints {
		resolved.Waypoints = append(resolved.Waypoints, p.Marks[w.Mark].Name)
	}
	for _, m := range p.Boundary.Marks {
		resolved.Boundary = append(resolved.Boundary, p.Marks[m].Name)
	}
	for _, o := range p.Obstacles {
		resolved.Obstacles = append(resolved.Obstacles, o.Name)
	}
	for _, h := range p.Holds {
		resolved.Holds = append(resolved.Holds, h.Circuit.Name)
	}
	text, err := json.Marshal(resolved)
	if err != nil {
		return [32]byte{}, fmt.Errorf("the plan cannot be written for its digest: %w", err)
	}
	return sha256.Sum256(text), nil
}

// render fills in the template of the data header.
func render(p *plan.Plan, board guidance.Mission) ([]byte, error) {
	t, err := template.ParseFS(templates.Files, "mission.h.tmpl")
	if err != nil {
		return nil, fmt.Errorf("the header's template: %w", err)
	}
	var out bytes.Buffer
	if err := t.Execute(&out, newHeader(p, board)); err != nil {
		return nil, fmt.Errorf("the header's template: %w", err)
	}
	return out.Bytes(), nil
}
