// Package gen writes the C headers of a mission: <mission>_mission.h from a
// template, with the tables that the board reads, merestone_guidance.h as it
// stands, and the site shift of one day. It only reads a plan; the same plan gives
// the same bytes.
//
// This file: the files of one mission.
package gen

import (
	"bytes"
	"errors"
	"fmt"
	"text/template"

	"merestone/internal/figures"
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

// Files gives the headers of a mission: the mission's own first, then what it
// includes. They are put into their places from the last to the first: where that
// is cut short, a mission header of another record format does not compile, and of
// the same format it is the older mission that drives, by newer functions. The other
// way round, a header that says it is new would drive by older ones. Tool names the
// program's version. A plan that is incomplete, or whose tables the board cannot
// hold, is an error.
func Files(p *plan.Plan, tool string) ([]File, error) {
	if p == nil || !p.Complete() {
		return nil, errors.New("the mission is not resolved in full, so there is nothing to write")
	}
	board, err := Board(p, tool)
	if err != nil {
		return nil, err
	}
	header, err := render("mission.h.tmpl", newHeader(p, board))
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
	board := p.Board.Tables
	board.Record = guidance.Record{Format: guidance.RecordFormat, Digest: figures.Digest(p), Mission: p.Mission, Tool: tool}
	if err := board.Validate(); err != nil {
		return board, fmt.Errorf("the board's tables cannot hold this mission: %w", err)
	}
	return board, nil
}

// render fills in a header's template.
func render(name string, data any) ([]byte, error) {
	t, err := template.ParseFS(templates.Files, name)
	if err != nil {
		return nil, fmt.Errorf("the header's template: %w", err)
	}
	var out bytes.Buffer
	if err := t.Execute(&out, data); err != nil {
		return nil, fmt.Errorf("the header's template: %w", err)
	}
	return out.Bytes(), nil
}
