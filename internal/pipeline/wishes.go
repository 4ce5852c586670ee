// What rules would have written, by keys, as changes of the text. They are proposals, all
// of them: they change a figure that the rover drives by. What mends one thing may break
// another, as a wider cross_track asks for a wider arrival; so each is tried, and offered
// only where the mission is refused for nothing new then.
package pipeline

import (
	"bytes"
	"path"
	"unicode/utf8"

	"merestone/internal/diag"
	"merestone/internal/source"
	"merestone/spec"
)

// A trial takes as long as reading the mission does: so many are made, and of no mission
// that is longer.
const (
	mostTrials   = 6
	mostTrialLen = 256 << 10
)

// grant makes fixes of the wishes of findings. A wish for a key that is not written, and
// left to what is usual, is for a person.
func (m *Mission) grant(s source.Source, written *spec.Mission) {
	texts := lines{sources: m.Sources}
	trials := 0
	for i := range m.Findings {
		f := &m.Findings[i]
		for _, wish := range f.Wishes {
			var edits []diag.Edit
			for _, s := range wish.Set {
				if edit, ok := settle(written, &texts, s); ok {
					edits = append(edits, edit)
				}
			}
			if len(edits) != len(wish.Set) || trials == mostTrials || len(s.Text) > mostTrialLen {
				continue
			}
			trials++
			if m.better(s, *f, edits) {
				f.Offer(false, wish.Does, edits...)
			}
		}
		f.Wishes = nil
	}
}

// better tries edits: the finding is to go, and no thing to be refused by a rule by which
// it was not.
func (m *Mission) better(s source.Source, f diag.Finding, edits []diag.Edit) bool {
	changed := map[string][]byte{}
	of := map[string][]diag.Edit{}
	for _, e := range edits {
		of[e.File] = append(of[e.File], e)
	}
	for file, edits := range of {
		text, err := diag.Apply(m.Sources[file], edits)
		if err != nil {
			return false
		}
		changed[file] = text
	}
	tried := s
	if text, ok := changed[s.Path]; ok {
		tried.Text = text
	}
	tried.Open = func(name string) ([]byte, error) {
		if text, ok := changed[spec.FileBeside(s.Path, path.Clean(name))]; ok {
			return text, nil
		}
		return s.Open(name)
	}
	after, _ := stages(tried)
	before := refusals(m.Findings)
	for _, then := range after.Findings {
		if then.Rule == f.Rule && then.Message() == f.Message() || then.Severity == diag.Error && !before[refusal{then.Rule, then.About[0]}] {
			return false
		}
	}
	return true
}

// refusal is a thing that is refused by a rule.
type refusal struct {
	rule diag.ID
	of   diag.Subject
}

func refusals(findings []diag.Finding) map[refusal]bool {
	found := map[refusal]bool{}
	for _, f := range findings {
		if f.Severity == diag.Error {
			found[refusal{f.Rule, f.About[0]}] = true
		}
	}
	return found
}

func settle(written *spec.Mission, texts *lines, s diag.Setting) (diag.Edit, bool) {
	text := s.Text
	if s.As != "" {
		if !written.Written(s.As) {
			return diag.Edit{}, false
		}
		text = texts.at(written.Where(s.As))
	}
	for _, path := range s.Paths {
		if at := written.Where(path); written.Written(path) && at.Width > 0 {
			return diag.Replace(at, text), text != ""
		}
	}
	return diag.Edit{}, false
}

// lines are those of the files that findings point into, cut when first asked.
type lines struct {
	sources diag.Sources
	cut     map[string][][]byte
}

// at is what stands in a place.
func (l *lines) at(p diag.Position) string {
	if l.cut[p.File] == nil {
		if l.cut == nil {
			l.cut = map[string][][]byte{}
		}
		l.cut[p.File] = bytes.Split(l.sources[p.File], []byte{'\n'})
	}
	all := l.cut[p.File]
	if p.Line < 1 || p.Line > len(all) {
		return ""
	}
	rest := all[p.Line-1]
	for range p.Column - 1 {
		_, size := utf8.DecodeRune(rest)
		rest = rest[size:]
	}
	end := 0
	for range p.Width {
		_, size := utf8.DecodeRune(rest[end:])
		end += size
	}
	return string(rest[:end])
}
