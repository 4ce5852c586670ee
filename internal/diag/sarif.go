// The SARIF printer: a report in the Static Analysis Results Interchange
// Format, which code-review tools and editors show beside the source line.
//
// Section numbers below are those of "Static Analysis Results Interchange
// Format (SARIF) Version 2.1.0 Plus Errata 01", OASIS Standard, 28 August 2023.
// Only the few objects that a finding needs are modelled; the tests validate
// the output against the standard's own JSON schema.
package diag

import (
	"io"
	"net/url"
	"path/filepath"
	"slices"
	"strings"

	"merestone/internal/words"
)

const (
	sarifVersion = "2.1.0"
	sarifSchema  = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)

type sarifLog struct {
	Schema  string     `json:"$schema"`
	Version string     `json:"version"`
	Runs    []sarifRun `json:"runs"`
}

type sarifRun struct { // 3.14
	Tool       sarifTool     `json:"tool"`
	ColumnKind string        `json:"columnKind"`
	Results    []sarifResult `json:"results"`
}

type sarifTool struct { // 3.18
	Driver sarifDriver `json:"driver"`
}

type sarifDriver struct { // 3.19
	Name            string      `json:"name"`
	SemanticVersion string      `json:"semanticVersion"`
	Rules           []sarifRule `json:"rules"`
}

type sarifRule struct { // 3.49 reportingDescriptor
	ID               ID                 `json:"id"`
	ShortDescription sarifText          `json:"shortDescription"`
	Help             sarifText          `json:"help"`
	Default          sarifConfiguration `json:"defaultConfiguration"`
}

type sarifConfiguration struct { // 3.50
	Level string `json:"level"`
}

type sarifText struct { // 3.11 message, 3.12 multiformatMessageString
	Text     string `json:"text"`
	Markdown string `json:"markdown,omitempty"`
}

type sarifResult struct { // 3.27
	RuleID     ID              `json:"ruleId"`
	RuleIndex  *int            `json:"ruleIndex,omitempty"`
	Level      string          `json:"level"`
	Message    sarifText       `json:"message"`
	Locations  []sarifLocation `json:"locations"`
	Related    []sarifLocation `json:"relatedLocations,omitempty"`
	Fixes      []sarifFix      `json:"fixes,omitempty"`
	Properties sarifProperties `json:"properties"`
}

type sarifFix struct { // 3.55
	Description sarifText          `json:"description"`
	Changes     []sarifChange      `json:"artifactChanges"`
	Properties  sarifFixProperties `json:"properties"`
}

type sarifFixProperties struct { // 3.8, the name in it is ours
	Certain bool `json:"certain"`
}

type sarifChange struct { // 3.56, one for each file
	Artifact     sarifArtifact      `json:"artifactLocation"`
	Replacements []sarifReplacement `json:"replacements"`
}

type sarifReplacement struct { // 3.57; a region of no characters is a place to insert at
	Deleted  sarifSpan     `json:"deletedRegion"`
	Inserted *sarifContent `json:"insertedContent,omitempty"` // none: it deletes alone
}

type sarifContent struct { // 3.3
	Text string `json:"text"`
}

type sarifSpan struct { // 3.30, with every bound said
	StartLine   int `json:"startLine"`
	StartColumn int `json:"startColumn"`
	EndLine     int `json:"endLine"`
	EndColumn   int `json:"endColumn"`
}

type sarifProperties struct { // 3.8 property bag: the names in it are ours
	About   []jsonSubject `json:"about"`
	Numbers []jsonNumber  `json:"numbers"`
	Remedy  string        `json:"remedy,omitempty"`
}

type sarifLocation struct { // 3.28
	ID       int            `json:"id,omitempty"`
	Physical sarifPhysical  `json:"physicalLocation"`
	Logical  []sarifLogical `json:"logicalLocations,omitempty"`
	Message  *sarifText     `json:"message,omitempty"`
}

// sarifLogical is the thing that a place belongs to, without regard to files; the
// kinds may be those of the tool (3.33.7).
type sarifLogical struct { // 3.33
	Name      string `json:"name,omitempty"`
	Qualified string `json:"fullyQualifiedName"`
	Kind      Kind   `json:"kind"`
}

type sarifPhysical struct { // 3.29
	Artifact sarifArtifact `json:"artifactLocation"`
	Region   *sarifRegion  `json:"region,omitempty"`
}

type sarifArtifact struct { // 3.4
	URI string `json:"uri"`
}

type sarifRegion struct { // 3.30
	StartLine   int `json:"startLine"`
	StartColumn int `json:"startColumn,omitempty"`
	EndColumn   int `json:"endColumn,omitempty"` // one past the last character, 3.30.8
}

// WriteSARIF prints a report as a SARIF 2.1.0 log with one run. The rules are
// all that the tool can report, in a fixed order; results refer to them. It
// fails only when w does.
func WriteSARIF(w io.Writer, report Report, rules []Rule) error {
	driver := sarifDriver{Name: report.Tool, SemanticVersion: report.Version, Rules: []sarifRule{}}
	index := map[ID]int{}
	for i, r := range rules {
		index[r.ID] = i
		driver.Rules = append(driver.Rules, sarifRule{
			ID:               r.ID,
			ShortDescription: sarifText{Text: sarifEscape(r.Title)},
			Help:             sarifText{Text: sarifEscape(r.Help), Markdown: sarifEscape(r.Help)},
			Default:          sarifConfiguration{Level: r.Severity.String()},
		})
	}
	results := []sarifResult{}
	for _, f := range report.Findings {
		result := sarifResult{
			RuleID: f.Rule, Level: f.Severity.String(), // the words are those of 3.27.10
			Message:    sarifText{Text: sarifEscape(sarifMessage(f))},
			Locations:  []sarifLocation{{Physical: sarifPlace(f.At), Logical: sarifThing(f.About)}},
			Properties: sarifProperties{About: jsonSubjects(f.About), Numbers: jsonNumbers(f.Numbers), Remedy: f.Remedy},
		}
		for _, fix := range f.Fixes {
			result.Fixes = append(result.Fixes, sarifFixOf(fix))
		}
		if i, ok := index[f.Rule]; ok {
			result.RuleIndex = &i
		}
		for i, r := range f.Related {
			result.Related = append(result.Related, sarifLocation{
				ID: i + 1, Physical: sarifPlace(r.At), Message: &sarifText{Text: sarifEscape(r.Message)},
			})
		}
		results = append(results, result)
	}
	return words.WriteJSON(w, sarifLog{
		Schema: sarifSchema, Version: sarifVersion,
		Runs: []sarifRun{{Tool: sarifTool{Driver: driver}, ColumnKind: "unicodeCodePoints", Results: results}},
	})
}

// sarifMessage puts what to do after what is the case: viewers show the message
// and nothing of the property bag.
func sarifMessage(f Finding) string {
	if f.Remedy == "" {
		return f.Message()
	}
	return f.Message() + "\nTo do: " + f.Remedy
}

// sarifThing is what a finding is mainly about. Its other things are in the
// property bag: they are elsewhere, and the logical locations of one place are all
// names of that place (3.28.4).
func sarifThing(about []Subject) []sarifLogical {
	if len(about) == 0 {
		return nil
	}
	return []sarifLogical{{Name: about[0].Name, Qualified: about[0].Path(), Kind: about[0].Kind}}
}

func sarifPlace(p Position) sarifPhysical {
	place := sarifPhysical{Artifact: sarifArtifact{URI: fileURI(p.File)}}
	if p.Line > 0 {
		place.Region = &sarifRegion{StartLine: p.Line}
		if p.Column > 0 {
			place.Region.StartColumn = p.Column
			place.Region.EndColumn = p.Column + max(p.Width, 1)
		}
	}
	return place
}

// sarifFixOf has the edits of each file together, in the order of the text.
func sarifFixOf(fix Fix) sarifFix {
	out := sarifFix{Description: sarifText{Text: sarifEscape(fix.Does)}, Properties: sarifFixProperties{fix.Certain}}
	for i, e := range slices.SortedStableFunc(slices.Values(fix.Edits), compareEdits) {
		if uri := fileURI(e.File); i == 0 || out.Changes[len(out.Changes)-1].Artifact.URI != uri {
			out.Changes = append(out.Changes, sarifChange{Artifact: sarifArtifact{uri}})
		}
		replacement := sarifReplacement{Deleted: sarifSpan{e.Line, e.Column, e.EndLine, e.EndColumn}}
		if e.Text != "" {
			replacement.Inserted = &sarifContent{e.Text}
		}
		change := &out.Changes[len(out.Changes)-1]
		change.Replacements = append(change.Replacements, replacement)
	}
	return out
}

// fileURI is a file name as a URI reference of RFC 3986, as 3.4.3 asks: a
// relative name stays relative, to whatever folder the viewer has open. A drive of
// Windows is the first part of the path and a server the authority, as RFC 8089
// has it in appendix E: file:///C:/a, file://server/share/a.
func fileURI(name string) string {
	u := url.URL{Path: filepath.ToSlash(name)}
	if !filepath.IsAbs(name) {
		return u.String()
	}
	u.Scheme = "file"
	switch volume := filepath.ToSlash(filepath.VolumeName(name)); { // none but on Windows
	case strings.HasPrefix(volume, "//"):
		u.Host, u.Path, _ = strings.Cut(u.Path[2:], "/")
		u.Path = "/" + u.Path
	case volume != "":
		u.Path = "/" + u.Path
	}
	return u.String()
}

// sarifEscape doubles braces, which otherwise mark placeholders (3.11.5).
func sarifEscape(text string) string {
	return strings.NewReplacer("{", "{{", "}", "}}").Replace(text)
}
