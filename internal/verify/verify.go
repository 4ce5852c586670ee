// Package verify answers whether a generated header, or a firmware image, is
// that of a mission.
//
// A header that is the same byte for byte is what this version compiles the
// mission to. If it is not, its own tables are read back and compared. The digest
// is of what the mission says, whatever version of the tool computed the tables:
// a header of the same mission can have other tables because it was edited, or
// because another version computed them otherwise. Every number that differs is
// named.
//
// An image is read as it is loaded, and searched for the records that data headers
// place. From a record on every table of its mission is compared with what a compiler
// makes of the plan's header.
//
//	answer.go   what is asked of a file, and the answer
//	kind.go     what kind of file it is, by name and by content
//
//	verify.go   a header against a plan
//	ctext.go    a small reader of the C initialisers that the headers are made of
//	tables.go   from initialisers to the board's tables
//	compare.go  two sets of tables, number by number
//
//	memory.go   what an image puts into the memory of a board
//	elf.go      of ELF files
//	hex.go      of Intel HEX and S-records
//	image.go    the records in it
//	layout.go   tables as a compiler lays them out
//	built.go    from a record to every table
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
	// Same: a header byte for byte what this version compiles the mission to; in an
	// image all tables so.
	Same Verdict = iota
	// OtherTool: the same plan and the same tables by another version of the
	// tool.
	OtherTool
	// OtherText: the same plan, tables and tool, but other comments, which can
	// have figures that the tables do not have, or another layout.
	OtherText
	// OtherGuidance: the data header is as it should be, the guidance header beside
	// it is not.
	OtherGuidance
	// OtherTables: of the same mission by another version of the tool, with other
	// tables or other code around them. That version computed them otherwise, or
	// somebody edited them: the file cannot tell.
	OtherTables
	// Untold: an image that has the record, and not all of the tables where they can
	// be looked at.
	Untold
	// Edited: it names this version and the plan's digest, but its tables are not the plan's, or
	// there is other code around them.
	Edited
	// Missing: an image without one of the missions asked for.
	Missing
	// Torn: an image with a record that cannot be read.
	Torn
	// OtherPlan: of another plan.
	OtherPlan
	// NoHeader: no header that can be read.
	NoHeader
)

// String says it in words.
func (v Verdict) String() string {
	switch v {
	case Same:
		return "the same"
	case OtherTool:
		return "the same plan and tables, by another version of the tool"
	case OtherText:
		return "the same plan and tables, other comments or layout"
	case OtherGuidance:
		return "the mission's header is the plan's, the guidance header beside it is not that of this version"
	case OtherTables:
		return "the same mission, other tables or code: by another version of the tool, or edited; compile again"
	case Untold:
		return "cannot be told: the record is the plan's, but not all tables can be looked at"
	case Edited:
		return "edited: the digest is the plan's, the contents are not"
	case Torn:
		return "cannot be told: there is a record that cannot be read"
	case OtherPlan:
		return "another plan"
	case Missing:
		return "a mission that was asked for is not in it"
	default:
		return "no header of merestone that can be read"
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
	Guidance    string          // what the guidance header beside a header must be
	Header      guidance.Record // of the header; zero when it has none that can be read
	Mission     guidance.Record // of the mission compiled now
	Differences []Difference
	// Unreadable says why the header's tables could not be read.
	Unreadable error
}

// Header compares the text of a data header with a plan, compiled by a version
// of the tool. An error means that the plan cannot be compiled.
func Header(text string, p *plan.Plan, tool string) (Report, error) {
	own, err := compiled(p, tool)
	if err != nil {
		return Report{}, err
	}
	return own.compare(text), nil
}

// headers are those that a plan compiles to.
type headers struct {
	plan           *plan.Plan
	board          guidance.Mission
	data, guidance string
}

func compiled(p *plan.Plan, tool string) (headers, error) {
	files, err := gen.Files(p, tool)
	if err != nil {
		return headers{}, err
	}
	board, err := gen.Board(p, tool)
	return headers{p, board, string(files[0].Data), string(files[1].Data)}, err
}

// compare compares the text of a data header with the plan's own.
func (own headers) compare(text string) Report {
	r := Report{Mission: own.board.Record, Guidance: own.guidance}
	if text == own.data {
		r.Header = own.board.Record
		return r
	}
	tables, err := ReadHeader(text)
	r.Header, r.Unreadable = tables.Record, err
	if err == nil {
		r.Differences = append(compareTables(tables, own.board, own.plan), compareCode(text, own.data, r.Header, r.Mission)...)
	}
	r.judge(err != nil || len(r.Differences) > 0)
	if r.Verdict == OtherPlan && err == nil && len(r.Differences) == 0 {
		r.Differences = []Difference{{"what the digest covers beside the tables (names, marks, tapes, base, wiring)", fmt.Sprintf("digest %x", r.Header.Digest), fmt.Sprintf("digest %x", r.Mission.Digest)}}
	}
	return r
}

// judge gives the verdict on what is not the same byte for byte.
func (r *Report) judge(otherTables bool) {
	sameTool := r.Header.Tool == r.Mission.Tool
	switch {
	case r.Header == (guidance.Record{}):
		r.Verdict = NoHeader
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
