// Parse: from the bytes of a mission file to a Mission, or to everything that
// is wrong with it.
//
// The stages, each in a file of its own:
//
//	source.go     the bytes: size, encoding, tabs
//	node.go       the tree of internal/yaml, anchors and aliases resolved
//	torn.go       what is read of a text whose notation has faults
//	language.go   the keys of a mission, what each may hold and where it goes
//	value.go      how one value is read: a length, a name, a list
//	gap.go        values that are still to be filled in
//	meant.go      what a value that cannot be read was probably meant to be
//	accuracy.go   uncertainties that are given with a probability
//	swapped.go    latitudes and longitudes that changed places
//	edits.go      remedies as changes of the text
//	marksfile.go  the marks of a CSV file, and marksheader.go its columns
//	measured.go   marks measured from others, rows and rings of them
//	names.go      what things may be called
//	references.go what refers to what
//	identifiers.go which names would be one in C
//	doubts.go     which keys are not known by that
//	findings.go   what was found, within bounds, and alike.go what has one cause
package spec

import (
	"cmp"
	"path"
	"strings"

	"merestone/internal/diag"
)

// Opener returns the bytes of a file that a mission names. The name is cleaned,
// has forward slashes and is seen from the folder of the mission file. Parse never
// asks for a name outside that folder, but symbolic links are the opener's
// business. An opener should read at most MaxMarksFileBytes+1.
type Opener func(name string) ([]byte, error)

// Limits on the input. They are far above what a rover's mission needs and keep
// a hostile or mistaken file from taking the machine's memory or time.
const (
	MaxFileBytes      = 4 << 20  // of the mission file
	MaxMarksFileBytes = 16 << 20 // of the marks_file
	maxAliases        = 1_000    // aliases followed, those within aliased blocks counted each time
	maxAliasedNodes   = 200_000  // keys, values and list entries that aliases stand for
	maxMarks          = 100_000
	maxWaypoints      = 65_000 // waypoint numbers must fit uint16_t with room to spare
	maxList           = 10_000 // entries of any other list
	maxFindings       = 100    // printed of a mission file
	maxMarksFindings  = 50     // printed of a marks_file
)

// Result is what Parse makes of a mission file.
type Result struct {
	// Mission is nil if the file could not be read as one YAML mapping within
	// the limits. If there is a finding of error severity, parts of it are
	// missing or wrong.
	Mission *Mission
	// Rest is what could be read of a file whose notation has faults, in place of the
	// Mission: good for what Doubts leaves of it, and not to be compared.
	Rest *Mission
	// Sources has the text of every file read, for printing the findings. A
	// byte order mark is cut off.
	Sources diag.Sources
	// Findings holds everything wrong with the file, in the order of the text; behind it
	// how accuracies were turned into standard deviations.
	Findings []diag.Finding
}

// Parse reads a mission file. The name, with forward slashes, is used in positions
// alone, also in those in the marks_file, which open reads; a nil open refuses any
// marks_file. Parse gives
// the same result for the same bytes and does not panic, whatever they are.
func Parse(name string, text []byte, open Opener) Result {
	d := &decoder{file: name, open: open, sources: diag.Sources{}, places: Places{}, unread: map[string]bool{}, doubts: doubts{paths: map[string]bool{}}}
	mission := d.mission(text)
	if mission != nil {
		mission.asWritten = asWritten{d.places, d.references, d.doubts.all()}
	}
	result := Result{Mission: mission, Sources: d.sources, Findings: append(d.findings.report(), d.accuracies()...)}
	if d.torn {
		result.Mission, result.Rest = nil, mission
	}
	return result
}

// decoder carries what all stages of one Parse share.
type decoder struct {
	file     string
	open     Opener
	sources  diag.Sources
	places   Places
	unread   map[string]bool // paths of what should be a block and is none
	findings findings
	doubts   doubts

	marks      map[string]diag.Position // every mark, by name
	markNames  []string                 // the same in order written
	lists      map[string]bool          // names of rows and rings
	marksLost  bool                     // whether there may be marks that could not be read
	misnamed   map[string]bool          // of marks with names that none may have, without the letters that make them so
	references []called                 // every use of a mark's name
	reading    key                      // the innermost key whose value is being read
	suggested  int                      // how many misspelt marks were looked up
	searched   int                      // how many other misspelt words were
	homes      map[string][]string      // where each key of the language belongs, made when first asked
	offered    int                      // how often it was worked out what was meant
	aliased    bool                     // whether a value stands in several places, by aliases
	reached    reached                  // how far the lines of a file were counted
	swapped    []swap                   // latitudes and longitudes that changed places
	stated     map[string]*stated       // accuracies with their probabilities, as they are written
	torn       bool                     // blocks were left out, whose notation has faults
	tabbed     []int                    // lines that are indented with tabs
}

// mission runs the stages in order; each goes on only if the file still makes
// sense as what the next one reads.
func (d *decoder) mission(text []byte) *Mission {
	text, ok := d.source(text)
	if !ok {
		return nil
	}
	root, ok := d.tree(string(text))
	if !ok {
		return nil
	}
	d.doubts.told() // nodes know what was found in them
	if root.kind != mappingKind {
		d.fail(ruleWrongType, root.at, "start with the line mission: NAME", "a mission file holds keys with values; this one holds %s", root.what())
		return nil
	}
	mission := &Mission{}
	d.places[""] = diag.Position{File: d.file}
	d.marks, d.lists = map[string]diag.Position{}, map[string]bool{}
	block(missionKeys(mission)).read(d, root, "")
	d.readMarksFile(mission)
	d.tellSwapped(mission)
	d.expand(mission)
	d.checkMission(mission)
	d.checkReferences()
	if d.marksLost {
		d.doubt("marks")
	}
	return mission
}

// fail records a finding of error severity about what its arguments name, or else
// the file. More can be said of it until the next one is recorded.
func (d *decoder) fail(rule diag.ID, at diag.Position, remedy, format string, args ...any) *diag.Finding {
	f := diag.New(at, format, args...)
	f.Rule, f.Severity, f.Remedy = rule, diag.Error, diag.OneLine(remedy)
	if len(f.About) == 0 {
		f.About = []diag.Subject{diag.The(diag.File, at.File)}
	}
	limit := maxMarksFindings
	if at.File == d.file {
		limit = maxFindings
	}
	d.findings.file(at.File, limit, at.File == d.file)
	d.doubts.made++
	return d.findings.add(f)
}

// failKey is fail at the place of a key and about it. It is for what does not go with
// something else in the same block of the mission: which of the two is wrong is not known.
func (d *decoder) failKey(rule diag.ID, path, remedy, format string, args ...any) *diag.Finding {
	f := d.fail(rule, d.where(path), remedy, format, args...)
	f.About = []diag.Subject{keyOf(path)}
	d.doubt(cmp.Or(parent(path), path))
	return f
}

func keyOf(path string) diag.Subject { return diag.The(diag.Key, path) }

func (d *decoder) beside(name string) string { return FileBeside(d.file, name) }

// FileBeside is what a file that a mission names is called in positions: seen from where the
// mission file is.
func FileBeside(mission, name string) string {
	joined := path.Join(path.Dir(mission), name)
	if strings.HasPrefix(mission, "//") { // a network share of Windows, which is no root of path's
		return "/" + joined
	}
	return joined
}
