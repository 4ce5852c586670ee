// What is asked of a file and what is answered: whether a header, with the
// guidance header beside it, or every mission in a firmware image is that of a
// plan; without a plan, what mission is in the file.
package verify

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"merestone/gen"
	"merestone/internal/guidance"
	"merestone/internal/plan"
	"merestone/internal/words"
)

// Question is what is asked.
type Question struct {
	File     string     // its name
	Data     string     // at most MaxImageBytes
	Mission  string     // the name of the mission file; empty without one
	Plan     *plan.Plan // that it compiles by; nil without a mission
	Tool     string     // the version that asks
	SamePlan bool       // the same plan by another version of the tool will do
	// Beside reads a file from the folder of the header.
	Beside func(name string) (string, error)
}

// Answer is what is printed.
type Answer struct {
	File        string       `json:"file"`
	Mission     string       `json:"mission,omitempty"`
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

// Answer answers. An error means that the file cannot be read as either, or that
// the plan does not compile.
func (q Question) Answer() (Answer, error) {
	a := Answer{File: q.File, Mission: q.Mission, Records: []Told{}, Differences: []Difference{}, Remarks: []string{}}
	isImage := isELF(q.Data) || strings.IndexByte(q.Data, 0) >= 0 // no text has a zero in it, and every record has
	if !isImage && q.Plan != nil {
		return a, a.header(q)
	}
	read := Records
	if !isImage {
		read = recordOf
	}
	found, err := read(q.Data)
	if err != nil {
		return a, fmt.Errorf("%s: %w", q.File, err)
	}
	return a, a.records(found, q)
}

func recordOf(header string) ([]Found, error) {
	tables, err := ReadHeader(header)
	return []Found{{Record: tables.Record}}, err
}

func (a *Answer) tell(f Found) {
	r := f.Record
	a.Records = append(a.Records, Told{r.Mission, r.Tool, fmt.Sprintf("%x", r.Digest), r.Format, f.Section, f.Addresses})
}

// judge accepts or refuses by a verdict.
func (a *Answer) judge(v Verdict, q Question) {
	a.Verdict, a.Accepted = v.String(), v == Same || q.SamePlan && v.SamePlan()
}

// records answers by what was found in an image, or in a header without a plan.
func (a *Answer) records(found []Found, q Question) error {
	if len(found) == 0 {
		a.Verdict = "there is no mission in this image"
		return nil
	}
	if len(found) > 1 {
		a.Remarks = append(a.Remarks, "there are several missions in this image; all of them must be the one asked for")
	}
	a.Verdict, a.Accepted = "found", true
	worst := Same
	var own guidance.Record
	if q.Plan != nil {
		board, err := gen.Board(q.Plan, q.Tool)
		if err != nil {
			return err
		}
		own = board.Record
	}
	for _, f := range found {
		a.tell(f)
		if q.Plan == nil {
			continue
		}
		r := Record(f.Record, own)
		if f.Record.Tool != q.Tool && r.Verdict != OtherPlan {
			a.Remarks = append(a.Remarks, fmt.Sprintf("the image is by version %s, this is %s: whether its tables are the same, its record does not say", f.Record.Tool, q.Tool))
		}
		if r.Verdict >= worst {
			worst = r.Verdict
			a.Differences = append(a.Differences, r.Differences...)
		}
		a.judge(worst, q)
	}
	return nil
}

// header answers for a header with a plan.
func (a *Answer) header(q Question) error {
	r, err := Header(q.Data, q.Plan, q.Tool)
	if err != nil {
		return err
	}
	if r.Unreadable != nil {
		a.Remarks = append(a.Remarks, r.Unreadable.Error())
	}
	if r.Header != (guidance.Record{}) {
		a.tell(Found{Record: r.Header})
	}
	a.Differences = append(a.Differences, r.Differences...)
	a.judge(r.Verdict, q)
	if r.Verdict == OtherTool || r.Verdict == OtherTables {
		a.Remarks = append(a.Remarks, fmt.Sprintf("the header is by version %s, this is %s", r.Header.Tool, r.Mission.Tool))
	}
	// Tables and functions are one work: another guidance header is another drive.
	text, err := q.Beside(gen.GuidanceHeader)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		a.Remarks = append(a.Remarks, "there is no "+gen.GuidanceHeader+" beside it to compare")
	case err != nil:
		return err
	case text != string(r.Guidance):
		a.Remarks = append(a.Remarks, "the "+gen.GuidanceHeader+" beside it is not that of this version")
		a.Accepted = a.Accepted && q.SamePlan
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
