// What is asked of a file and what is answered: whether a header, with the
// guidance header beside it, is that of a plan, or a firmware image was built from the
// plans that are given, and carries no other; without a plan, what mission is in the
// file.
package verify

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"

	"merestone/gen"
	"merestone/internal/guidance"
	"merestone/internal/words"
)

// Question is what is asked.
type Question struct {
	File     string    // its name
	Data     string    // at most MaxImageBytes
	Missions []Mission // none: what is in it?
	Tool     string    // the version that asks
	SamePlan bool      // the same plan by another version of the tool will do
	// Beside reads a file from the folder of the header.
	Beside func(name string) (string, error)
}

// Answer is what is printed.
type Answer struct {
	File        string       `json:"file"`
	Kind        string       `json:"kind"`
	Mission     string       `json:"mission,omitempty"` // where there is one
	Missions    []string     `json:"missions"`
	Accepted    bool         `json:"accepted"`
	Verdict     string       `json:"verdict"`
	Records     []Told       `json:"records"`
	Differences []Difference `json:"differences"`
	Remarks     []string     `json:"remarks"`
}

// Told is a record in words.
type Told struct {
	Mission   string   `json:"mission"`
	Tool      string   `json:"tool"`
	Digest    string   `json:"plan_sha256"`
	Format    uint8    `json:"format"`
	Section   string   `json:"section,omitempty"`
	Addresses []uint64 `json:"addresses,omitempty"`
}

// Answer answers. An error means that the file cannot be read as what it is, or that
// a plan does not compile.
func (q Question) Answer() (Answer, error) {
	a := Answer{File: q.File, Missions: []string{}, Records: []Told{}, Differences: []Difference{}, Remarks: []string{}}
	for _, m := range q.Missions {
		a.Missions = append(a.Missions, m.Name)
	}
	if len(q.Missions) == 1 {
		a.Mission = q.Missions[0].Name
	}
	kind, err := KindOf(q.File, q.Data)
	if err == nil {
		a.Kind = kind.String()
		err = a.ask(kind, q)
	}
	if err != nil {
		return a, fmt.Errorf("%s: %w", q.File, err)
	}
	return a, nil
}

func (a *Answer) ask(kind Kind, q Question) error {
	switch {
	case kind != TextFile:
		return a.image(kind, q)
	case len(q.Missions) == 0:
		tables, err := ReadHeader(q.Data)
		if err == nil {
			a.tell(Found{Record: tables.Record})
			a.Verdict, a.Accepted = found, true
		}
		return err
	case len(q.Missions) > 1:
		return fmt.Errorf("it is a header, which is of one mission, but %d are given", len(q.Missions))
	default:
		return a.header(q)
	}
}

// found is the verdict where nothing was asked but what there is.
const found = "found"

func (a *Answer) tell(f Found) {
	r := f.Record
	a.Records = append(a.Records, Told{r.Mission, r.Tool, fmt.Sprintf("%x", r.Digest), r.Format, f.Section, f.Addresses})
}

func (a *Answer) remark(format string, args ...any) {
	a.Remarks = append(a.Remarks, fmt.Sprintf(format, args...))
}

// image answers for firmware.
func (a *Answer) image(kind Kind, q Question) error {
	m, err := readImage(kind, q.Data)
	if err != nil {
		return err
	}
	records, torn, err := m.records()
	if err != nil {
		return err
	}
	for _, f := range records {
		a.tell(f)
	}
	if len(torn) > 0 {
		a.remark("the text that begins a record is at 0x%08x, but no record behind it", torn[0])
	}
	switch {
	case len(records) == 0:
		a.Verdict = "there is no mission in this image"
		return nil
	case len(q.Missions) == 0:
		a.Verdict, a.Accepted = found, true
		return nil
	}
	missions := make([]*due, len(q.Missions))
	for i, one := range q.Missions {
		board, err := gen.Board(one.Plan, q.Tool)
		if err != nil {
			return err
		}
		missions[i] = newDue(one, board)
		for _, other := range missions[:i] {
			if other.board.Record == board.Record {
				return fmt.Errorf("%s and %s are the same mission", other.Name, one.Name)
			}
		}
	}
	all, remark, err := m.built(records, missions, q.Tool)
	if err != nil {
		return err
	}
	worst := Same
	for _, c := range all {
		worst = max(worst, c.verdict)
		for _, d := range c.differences {
			if !slices.Contains(a.Differences, d) && len(a.Differences) < maxDifferences {
				a.Differences = append(a.Differences, d)
			}
		}
		for _, s := range c.untold {
			if len(a.Remarks) < maxRows {
				a.remark("%s", s)
			}
		}
	}
	for _, f := range records {
		if f.Record.Tool != q.Tool && ofDigest(missions, f.Record.Digest) != nil {
			a.remark("the image is by version %s, this is %s, which knows nothing of the functions of that one", f.Record.Tool, q.Tool)
		}
	}
	for _, d := range missions {
		if !d.found {
			worst = max(worst, Missing)
			a.remark("%s is not in this image", d.Name)
		}
	}
	if len(torn) > 0 {
		worst = max(worst, Torn)
	}
	if remark != "" {
		a.remark("%s", remark)
	}
	a.judge(worst, q)
	if worst == Same {
		a.Verdict = "built from this plan"
		if len(missions) > 1 {
			a.Verdict = "built from these plans"
		}
	}
	return nil
}

// maxDifferences is how many differences of an image are listed.
const maxDifferences = 200

// judge accepts or refuses by a verdict.
func (a *Answer) judge(v Verdict, q Question) {
	a.Verdict, a.Accepted = v.String(), v == Same || q.SamePlan && v.SamePlan()
}

// header answers for a header with a plan.
func (a *Answer) header(q Question) error {
	r, err := Header(q.Data, q.Missions[0].Plan, q.Tool)
	if err != nil {
		return err
	}
	if r.Unreadable != nil {
		a.remark("%v", r.Unreadable)
	}
	if r.Header != (guidance.Record{}) {
		a.tell(Found{Record: r.Header})
	}
	a.Differences = append(a.Differences, r.Differences...)
	if r.Verdict == OtherTool || r.Verdict == OtherTables {
		a.remark("the header is by version %s, this is %s", r.Header.Tool, r.Mission.Tool)
	}
	if r.Verdict == NoHeader {
		a.judge(NoHeader, q)
		return nil
	}
	// Tables and functions are one work: another guidance header is another drive, and
	// this version can vouch for its own functions only.
	text, err := q.Beside(gen.GuidanceHeader)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		a.remark("there is no %s beside it to compare", gen.GuidanceHeader)
		a.judge(r.Verdict, q)
		a.Accepted = a.Accepted && r.Verdict != OtherTool
	case err != nil:
		return err
	case text == r.Guidance:
		a.judge(r.Verdict, q)
	case sameCode(text, r.Guidance):
		a.remark("the %s beside it has other comments or another layout than that of this version", gen.GuidanceHeader)
		if r.Verdict == Same {
			r.Verdict = OtherText
		}
		a.judge(r.Verdict, q)
	default:
		a.remark("the %s beside it is not that of this version", gen.GuidanceHeader)
		a.judge(max(r.Verdict, OtherGuidance), q)
	}
	return nil
}

// WriteJSON writes an answer as one object.
func WriteJSON(w io.Writer, a Answer) error { return words.WriteJSON(w, a) }

// WriteText writes an answer for people.
func WriteText(w io.Writer, a Answer) error {
	var out strings.Builder
	line := func(format string, args ...any) {
		out.WriteString(strings.TrimRight(words.Visible(fmt.Sprintf(format, args...)), " ") + "\n")
	}
	line("%s: %s", a.File, a.Verdict)
	if a.Kind != TextFile.String() {
		line("  %s", a.Kind)
	}
	for _, r := range a.Records {
		line("  mission %q, plan %s, tool %s", r.Mission, r.Digest, r.Tool)
		for _, at := range r.Addresses {
			line("    at 0x%08x %s", at, r.Section)
		}
	}
	for _, d := range a.Differences {
		line("  %s: %s; the mission has %s", d.Where, d.Header, d.Mission)
	}
	for _, s := range a.Remarks {
		line("  %s", s)
	}
	_, err := io.WriteString(w, out.String())
	return err
}
