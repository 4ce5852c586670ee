// Package yaml reads the part of YAML 1.2 that missions are written in: blocks of
// keys, lists, values on one line, quotation marks, brackets and braces, comments,
// anchors and aliases. What it reads, it reads as the standard does (YAML 1.2.2,
// yaml.org/spec/1.2.2); what else the standard has, it refuses by name: tags, texts
// in block style and over several lines, keys that are no single word, several
// documents, directives but %YAML 1.2, tabs outside comments and line ends.
//
// It is code of our own because what stood here before let through what nobody had
// written: a library that joins the digits around a tab reads 1<TAB>8 cm as 18 cm,
// and libraries take time that grows with the square of a file, or lose the column
// of a fault. So that it need not be believed alone, every text is read a second
// time by a library of other authors, and refused where the two differ: Document.Doubt.
//
// One pass, in time and memory that grow with the text and no faster; nothing
// recurses deeper than MaxDepth.
//
//	yaml.go    the tree, the faults, the limits
//	reader.go  going forward: white space, comments, line ends, marks of documents
//	block.go   a document, blocks of keys and lists by indentation
//	flow.go    lists in brackets and blocks in braces
//	scalar.go  single values: plain, quoted, the names of anchors
//	slip.go    what was probably meant where a line makes no sense
//	second.go  the second reader
package yaml

// The limits. A mission of 59,000 waypoints, each with its mark and a speed, has some
// 295,000 nodes.
const (
	MaxDepth = 32      // blocks and lists within each other
	MaxNodes = 300_000 // keys, values and entries
	maxKey   = 1_024   // characters of a key, as YAML 1.2.2 has it (7.4.2 and 8.2.2)
)

// Kind is what a node is.
type Kind uint8

// The kinds of nodes.
const (
	Null    Kind = iota // nothing, or one of the words for it: ~, null
	Scalar              // a single value
	Mapping             // a block of keys
	List
	Alias // stands for what has the anchor Text
)

// Place is where something stands: the line and the column of its first character,
// counted in characters from 1, and how many characters it takes on that line.
type Place struct{ Line, Column, Width int32 }

// Node is one value with its place.
type Node struct {
	Kind   Kind
	Quoted bool   // a scalar in quotation marks
	Text   string // of a scalar, its escapes resolved; of an alias, the anchor's name
	Anchor string // the name before the value, empty for none
	At     Place  // of a block of keys without braces: its first key; of a list: its first dash or bracket
	Within []*Node
}

// The nodes within a mapping are its keys and values in turn; within a list, its
// entries.

// FaultKind says of what kind a fault is.
type FaultKind uint8

// The kinds of faults.
const (
	Syntax FaultKind = iota
	Tab
	Tag
	Empty // no keys and no values
	SeveralDocuments
	TooDeep
	TooLarge
)

// Fault is why a text was not read, where, and what to do.
type Fault struct {
	Kind            FaultKind
	At              Place // the zero Place for the whole text
	Message, Remedy string
	Open            Place // where the bracket or brace begins that is meant, or zero
	Fix             *Fix  // the remedy as a change of the text, or nil
}

// Fix is a text in place of what stands in a place.
type Fix struct {
	At      Place // of no width: before what stands there
	Text    string
	Does    string // in a few words
	Certain bool   // what was written can mean this alone
}

// mend gives a fault the remedy as a change of the text.
func (f *Fault) mend(certain bool, at Place, text, does string) {
	f.Fix = &Fix{At: at, Text: text, Does: does, Certain: certain}
}

// mendSpace is to put a space in behind a colon, or where else one is due.
func (f *Fault) mendSpace(certain bool, at Place) {
	f.mend(certain, Place{at.Line, at.Column, 0}, " ", "put a space in")
}

// mendWithout is to take out what stands there.
func (f *Fault) mendWithout(certain bool, at Place) { f.mend(certain, at, "", "take it out") }

func (f *Fault) Error() string { return f.Message }

// Document is the one document of a text.
type Document struct {
	Root    *Node
	again   []byte // the text for the second reader
	strayed bool   // an alias refers to no anchor before it, or to what it stands in
}

// Read reads the one document of a text, which is valid UTF-8 with line feeds
// alone and no NUL, or says what is wrong with it first.
func Read(text string) (Document, *Fault) {
	r := reader{text: text, line: 1, column: 1, anchors: map[string]bool{}}
	root := r.document()
	if r.fault != nil {
		return Document{}, noSpace(text, r.fault)
	}
	return Document{root, r.again(), r.strayed}, nil
}
