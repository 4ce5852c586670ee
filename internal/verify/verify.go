// Package verify answers whether a generated header, or a firmware image, is
// that of a mission.
//
// A header that is the same byte for byte is what this version compiles the
// mission to. If it is not, its own tables are read back and compared. The digest
// is of what the mission says, whatever version of the tool computed the tables:
// a header of the same mission can have other tables because it was edited, or
// because another version computed them otherwise. Every number that differs is
// named. An image is searched for the record that every data header places.
//
//	answer.go   what is asked of a file, and the answer
//	verify.go   a header or a record against a plan
//	ctext.go    a small reader of the C initialisers that the headers are made of
//	tables.go   from initialisers to the board's tables
//	compare.go  two sets of tables, number by number
//	image.go    records in ELF files and raw images
package verify

import (
	"fmt"

	"merestone/gen"
	"merestone/internal/guidance"
	"merestone/internal/plan"
)

// Verdict is the answer.
type Verdict uint8

// The verdicts, from best to worst.
const (
	// Same: byte for byte, or for an image the record, what this version
	// compiles the mission to.
	Same Verdict = iota
	// OtherTool: the same plan and the same tables by another version of the
	// tool.
	OtherTool
	// OtherText: the same plan, tables and tool, but other comments, which can
	// have figures that the tables do not have, or another layout.
	OtherText
	// OtherTables: of the same mission by another version of the tool, with other
	// tables or other code around them. That version computed them otherwise, or
	// somebody edited them: the header cannot tell.
	OtherTables
	// Edited: it names this version and the plan's digest, but its tables are not the plan's, or
	// there is other code around them.
	Edited
	// OtherPlan: of another plan.
	OtherPlan
)

// String says it in words.
func (v Verdict) String() string {
	switch v {
	case Same:
		return "the same"
	case OtherTool:
		return "the same plan, by another version of the tool"
	case OtherText:
		return "the same plan and tables, other comments or layout"
	case OtherTables:
		return "the same mission, other tables or code: by another version of the tool, or edited; compile again"
	case Edited:
		return "edited: the digest is the plan's, the contents are not"
	default:
		return "another plan"
	}
}

// SamePlan reports whether the board would drive by the same tables.
func (v Verdict) SamePlan() bool { return v <= OtherText }

// Difference is one number or text that is not the same.
type Difference struct {
	Where   string `json:"where"`   // such as "leg P1–L1N, speed_mm_s"
	Header  string `json:"header"`  // what the header has; empty where it has none
	Mission string `json:"mission"` // what the mission compiles to
}

// Report is a verdict with its reasons.
type Report struct {
	Verdict     Verdict
	Guidance    []byte          // what the guidance header beside a header must be
	Header      guidance.Record // of the header; zero when it has none that can be read
	Mission     guidance.Record // of the mission compiled now
	Differences []Difference
	// Unreadable says why the header's tables could not be read.
	Unreadable error
}

// Header compares the text of a data header with a plan, compiled by a version
// of the tool. An error means that the plan cannot be compiled.
func Header(text string, p *plan.Plan, tool string) (Report, error) {
	files, err := gen.Files(p, tool)
	if err != nil {
		return Report{}, err
	}
	board, err := gen.Board(p, tool)
	if err != nil {
		return Report{}, err
	}
	r := Report{Mission: board.Record, Guidance: files[1].Data}
	if text == string(files[0].Data) {
		r.Header = board.Record
		return r, nil
	}
	tables, err := ReadHeader(text)
	r.Header, r.Unreadable = tables.Record, err
	if err == nil {
		r.Differences = append(compareTables(tables, board, p), compareCode(text, string(files[0].Data), r.Header == r.Mission)...)
	}
	r.judge(err != nil || len(r.Differences) > 0)
	if r.Verdict == OtherPlan && err == nil && len(r.Differences) == 0 {
		r.Differences = []Difference{{"what the digest covers beside the tables (names, marks, tapes, base, wiring)", fmt.Sprintf("digest %x", r.Header.Digest), fmt.Sprintf("digest %x", r.Mission.Digest)}}
	}
	return r, nil
}

// judge gives the verdict on what is not the same byte for byte.
func (r *Report) judge(otherTables bool) {
	sameTool := r.Header.Tool == r.Mission.Tool
	switch {
	case r.Header.Digest != r.Mission.Digest:
		r.Verdict = OtherPlan
	case otherTables && sameTool:
		r.Verdict = Edited
	case otherTables:
		r.Verdict = OtherTables
	case !sameTool:
		r.Verdict = OtherTool
	default:
		r.Verdict = OtherText
	}
}

// Record compares a record found in an image with that of a mission compiled by a
// version of the tool. The tables of an image are not read: by the same version of
// the tool, any other record is edited.
func Record(found, mission guidance.Record) Report {
	r := Report{Header: found, Mission: mission}
	if found.Mission != mission.Mission {
		r.Differences = append(r.Differences, Difference{"mission", found.Mission, mission.Mission})
	}
	if found != mission {
		r.judge(found.Tool == mission.Tool || len(r.Differences) > 0)
	}
	return r
}
