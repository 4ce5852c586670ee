// What a log was made of. Every "$" begins a sentence, and every sentence is either
// taken, under its kind, or refused, under its first reason: nothing is left out in
// silence. What is odd about a log without a sentence being refused for it is a remark.
package nmea

import (
	"strconv"

	"merestone/internal/words"
)

// Kind is a kind of sentence.
type Kind uint8

// The kinds.
const (
	GGA Kind = iota
	GST
	RMC
	ZDA
	GSA
	Other        // of any talker, such as GSV
	Proprietary  // $P
	Encapsulated // begun by "!"
	kinds
)

// String names the kind.
func (k Kind) String() string {
	return [...]string{"GGA", "GST", "RMC", "ZDA", "GSA", "other kinds", "makers' own ($P)", "encapsulated (!)"}[k]
}

// Refusal is why a sentence was not taken.
type Refusal uint8

// The reasons. NoChecksum and what was cut off at a line's end look alike.
const (
	NoAddress     Refusal = iota // "$" in other text, or in a binary frame
	NoChecksum                   // the line ends before it
	CutShort                     // a byte that is no text, or the log's end, comes before the checksum
	Interrupted                  // another "$" comes before the checksum
	TooLong                      // more than maxSentence bytes
	WrongChecksum                // it is there, and is that of other bytes
	Malformed                    // the checksum is right, and a field lacks, or has another form
	OutOfRange                   // the checksum and the form are right; latitude 91, second 61
	Doubled                      // the same sentence was there before, with the same time
	refusals
	taken = refusals // none
)

// String says it of a number of sentences.
func (r Refusal) String() string {
	return [...]string{
		"$ without an address", "without a checksum, or cut off at the line's end", "cut short", "run into by the next", "too long",
		"with a wrong checksum", "of another form", "with a value out of range", "there twice",
	}[r]
}

// Remark is something odd for which no sentence was refused.
type Remark uint8

// The remarks.
const (
	Prefixed        Remark = iota // taken, with text before "$" on the line
	Text                          // lines, or ends of lines, of text that is no sentence
	Zeros                         // runs of NUL bytes
	Binary                        // runs of other bytes that are no text
	ModesDisagree                 // the mode of RMC is not the quality of GGA, which is taken
	EllipseDoubtful               // the ellipse of GST is not that of its latitude and longitude
	DatesDisagree                 // RMC and ZDA of one time differ; ZDA is taken
	DateJumps                     // the day is not the one that the time of day lets expect
	Backwards                     // a fix is older than the one before
	SameTime                      // GGA that differ have one time; each is a fix
	NoTime                        // a GGA without time of day, of which no fix is made
	Undated                       // fixes given out before anything had said the day
	remarks
)

// String says it.
func (r Remark) String() string {
	return [...]string{
		"sentences with text before them on the line", "other text", "runs of NUL bytes", "runs of bytes that are no text",
		"RMC whose mode is not the quality of GGA (GGA is taken)", "GST whose ellipse contradicts its own sigmas (not used)",
		"RMC and ZDA with different days (ZDA is taken)", "jumps of the day", "fixes older than the one before", "fixes at the time of another",
		"GGA without a time (no fix)", "fixes without a day",
	}[r]
}

// Tally is how often something was there, and the line of the first; lines count from 1.
type Tally struct{ Count, Line int64 }

func (t *Tally) add(line int64) {
	if t.Count == 0 {
		t.Line = line
	}
	t.Count++
}

// Counts are what a log was made of, so far.
type Counts struct {
	Taken   [kinds]Tally
	Refused [refusals]Tally
	Remarks [remarks]Tally
}

// Sentences are those that were taken and those that were refused.
func (c Counts) Sentences() (takenSum, refusedSum int64) {
	for _, t := range c.Taken {
		takenSum += t.Count
	}
	for _, t := range c.Refused {
		refusedSum += t.Count
	}
	return takenSum, refusedSum
}

// Rows is a table of what was there, for people: what, how many, and the line of the first.
func (c Counts) Rows() [][]string {
	var rows [][]string
	add := func(what string, t Tally) {
		if t.Count > 0 {
			rows = append(rows, []string{what, strconv.FormatInt(t.Count, 10), strconv.FormatInt(t.Line, 10)})
		}
	}
	for i, t := range c.Taken {
		add(Kind(i).String(), t)
	}
	for i, t := range c.Refused {
		add("refused: "+Refusal(i).String(), t)
	}
	for i, t := range c.Remarks {
		add("remark: "+Remark(i).String(), t)
	}
	return rows
}

// Refusals says in one line what was refused and why; empty where nothing was.
func (c Counts) Refusals() string {
	var parts []string
	for i, t := range c.Refused {
		if t.Count > 0 {
			parts = append(parts, strconv.FormatInt(t.Count, 10)+" "+Refusal(i).String()+" (line "+strconv.FormatInt(t.Line, 10)+")")
		}
	}
	return words.And(parts)
}
