// The rules of this package, documented: a page for each id that a finding of
// Parse can have.
package spec

import (
	"fmt"
	"strings"

	"merestone/internal/diag"
)

// The rules, in the order in which Parse comes to them.
const (
	ruleTooLarge         diag.ID = "spec.too-large"
	ruleNotText          diag.ID = "spec.not-text"
	ruleEmptyFile        diag.ID = "spec.empty-file"
	ruleTabIndent        diag.ID = "spec.tab-indent"
	ruleYAMLSyntax       diag.ID = "spec.yaml-syntax"
	ruleSeveralDocuments diag.ID = "spec.several-documents"
	ruleTooDeep          diag.ID = "spec.too-deep"
	ruleTooManyAliases   diag.ID = "spec.too-many-aliases"
	ruleUnknownAnchor    diag.ID = "spec.unknown-anchor"
	ruleTag              diag.ID = "spec.tag"
	ruleWrongType        diag.ID = "spec.wrong-type"
	ruleDuplicateKey     diag.ID = "spec.duplicate-key"
	ruleUnknownKey       diag.ID = "spec.unknown-key"
	ruleMissingKey       diag.ID = "spec.missing-key"
	ruleEmptyValue       diag.ID = "spec.empty-value"
	ruleNoUnit           diag.ID = "spec.no-unit"
	ruleBadQuantity      diag.ID = "spec.bad-quantity"
	ruleOutOfRange       diag.ID = "spec.out-of-range"
	ruleBadCoordinate    diag.ID = "spec.bad-coordinate"
	ruleBadDate          diag.ID = "spec.bad-date"
	ruleUnknownWord      diag.ID = "spec.unknown-word"
	ruleBadName          diag.ID = "spec.bad-name"
	ruleNameClash        diag.ID = "spec.name-clash"
	ruleDuplicateMark    diag.ID = "spec.duplicate-mark"
	ruleTooManyMarks     diag.ID = "spec.too-many-marks"
	ruleUnknownMark      diag.ID = "spec.unknown-mark"
	ruleClosedRing       diag.ID = "spec.closed-ring"
	ruleEitherOr         diag.ID = "spec.either-or"
	ruleSameMark         diag.ID = "spec.same-mark"
	ruleListedTwice      diag.ID = "spec.listed-twice"
	ruleBadFile          diag.ID = "spec.bad-file"
	ruleBadCSV           diag.ID = "spec.bad-csv"
	ruleMore             diag.ID = "spec.more"
)

// Rules are all rules of Parse, in the order in which Parse comes to them. Every
// finding of Parse has the id of one of them and error severity.
func Rules() []diag.Rule {
	var rules []diag.Rule
	for _, p := range pages() {
		rules = append(rules, diag.Rule{ID: p.id, Severity: diag.Error, Title: p.title, Help: p.markdown()})
	}
	return rules
}

// page is what there is to say of a rule. The examples are cut to what matters;
// those of the rules on a marks_file are CSV, the others YAML.
type page struct {
	id           diag.ID
	title        string
	what, why    string
	wrong, right string
	csv          bool
}

func (p page) markdown() string {
	var out strings.Builder
	fmt.Fprintf(&out, "# %s\n\n%s\n\n%s\n", p.id, p.what, p.why)
	language := "yaml"
	if p.csv {
		language = "csv"
	}
	for _, e := range []struct{ head, text string }{{"Wrong", p.wrong}, {"Right", p.right}} {
		if e.text != "" {
			fmt.Fprintf(&out, "\n%s:\n\n```%s\n%s\n```\n", e.head, language, e.text)
		}
	}
	return out.String()
}

func pages() []page {
	return []page{
		{id: ruleTooLarge, title: "The input is larger than any mission needs",
			what: fmt.Sprintf("A mission file has at most %d MiB, a marks_file at most %d MiB, one block at most %d keys, and at most %d keys and list entries may stand without a value.", MaxFileBytes>>20, MaxMarksFileBytes>>20, maxBlockKeys, maxEmptyValues),
			why:  "A file beyond these limits is a mistake or an attempt to exhaust the machine. Long lists of marks belong into a marks_file, which is read faster."},
		{id: ruleNotText, title: "The file is not plain text in UTF-8",
			what: "The file has bytes that are not UTF-8, control characters, or line ends that not every program counts as such. A byte order mark at the start is allowed.",
			why:  "Programs would disagree about what the file says, or on which line. Save it as UTF-8 with line feeds, or with carriage returns and line feeds."},
		{id: ruleEmptyFile, title: "The file holds no keys",
			what:  "The file is empty, or has nothing but comments.",
			why:   "There is nothing to compile; often the wrong file was named, or it was not saved.",
			wrong: "# mission of Tuesday", right: "mission: tuesday"},
		{id: ruleTabIndent, title: "A line is indented with a tab",
			what:  "YAML indents with spaces alone.",
			why:   "How far a tab indents depends on the program that shows it, so the structure of the file would, too. Set the editor to write spaces in files that end in .yaml.",
			wrong: "rover:\n\twidth: 0.42 m", right: "rover:\n  width: 0.42 m"},
		{id: ruleYAMLSyntax, title: "The file is not valid YAML",
			what:  "A bracket or quotation mark is not closed, keys of one block begin in different columns, or the like. Reading stops at the first such fault, as nothing after it can be trusted.",
			why:   "A parser that guesses would guess wrong where it matters.",
			wrong: "route:\n  waypoints: [A, B\nmission: grove", right: "route:\n  waypoints: [A, B]\nmission: grove"},
		{id: ruleSeveralDocuments, title: "The file holds more than one YAML document",
			what:  "A line of three hyphens starts another document within a YAML file.",
			why:   "A mission file holds one mission, so that its headers and its digest belong to one file.",
			wrong: "mission: morning\n---\nmission: evening", right: "mission: morning"},
		{id: ruleTooDeep, title: "Blocks and lists lie too deep within each other",
			what:  fmt.Sprintf("More than %d levels of nesting. A mission needs no more than eight.", maxNesting),
			why:   "Deep nesting is a bracket that was not closed, or an attempt to exhaust the machine.",
			wrong: "route: " + strings.Repeat("[", maxNesting+1) + strings.Repeat("]", maxNesting+1),
			right: "route: {waypoints: [A, B]}"},
		{id: ruleTooManyAliases, title: "Aliases stand for more than any mission needs",
			what: fmt.Sprintf("An alias (*name) stands for the value at its anchor (&name). More than %d aliases are followed, those within aliased values counted each time, or they stand for more than %d keys, values and entries.", maxAliases, maxAliasedNodes),
			why:  "A few lines of aliases to aliases can stand for billions of values."},
		{id: ruleUnknownAnchor, title: "An alias refers to no anchor before it",
			what:  "An alias (*name) stands for the value at the anchor (&name) that was written before it.",
			why:   "There is no value to take.",
			wrong: "receiver:\n  uncertainty: {fixed: *sigma}", right: "base: {uncertainty: &sigma 2 cm}\nreceiver:\n  uncertainty: {fixed: *sigma}"},
		{id: ruleTag, title: "A YAML tag is of no use here",
			what:  "Tags such as !!str tell a YAML reader of what type a value is.",
			why:   "The keys of a mission settle the types of their values; a tag could only contradict them.",
			wrong: "mission: !!str grove", right: "mission: grove"},
		{id: ruleWrongType, title: "A value is of another kind than its key holds",
			what:  "There is a list where a single value is due, a block where a list is due, a quoted word where true or false is due, and so on.",
			why:   "What was meant is unclear.",
			wrong: "geofence:\n  boundary: F1 F2 F3", right: "geofence:\n  boundary: [F1, F2, F3]"},
		{id: ruleDuplicateKey, title: "A key is written twice in one block",
			what:  "Every key of a block, and every column of a marks_file, is written once.",
			why:   "One of the two values would be ignored, and nobody could say which.",
			wrong: "rover:\n  width: 0.42 m\n  length: 0.60 m\n  width: 0.46 m", right: "rover:\n  width: 0.46 m\n  length: 0.60 m"},
		{id: ruleUnknownKey, title: "A block has a key that it does not know",
			what:  "The key is misspelt, belongs to another block, or does not exist. The nearest key is suggested.",
			why:   "A misspelt key that was ignored would leave its default in force without anybody noticing.",
			wrong: "rover:\n  turning_radius: 30 cm", right: "rover:\n  turn_radius: 30 cm"},
		{id: ruleMissingKey, title: "A key that is needed is missing",
			what:  "Keys without a safe default must be written, some of them only together with others: the radius of an obstacle with a centre, the uncertainty of a float solution if the mission may be driven with one.",
			why:   "A guessed value would be proved safe in place of the real one.",
			wrong: "geofence:\n  obstacles: [{name: well, centre: W}]", right: "geofence:\n  obstacles: [{name: well, centre: W, radius: 1.2 m}]"},
		{id: ruleEmptyValue, title: "A key has no value",
			what:  "There is nothing behind the colon, or null.",
			why:   "Whether the default was meant or the value forgotten cannot be told. Lists and marks may be left empty.",
			wrong: "rover:\n  turn_radius:", right: "rover:\n  turn_radius: 0 m"},
		{id: ruleNoUnit, title: "A quantity has no unit",
			what:  "Every quantity carries its unit in the value.",
			why:   "A bare number is read by one person as metres and by the next as centimetres.",
			wrong: "rover:\n  width: 0.42", right: "rover:\n  width: 0.42 m"},
		{id: ruleBadQuantity, title: "A quantity cannot be read",
			what:  "It is no decimal number, has a unit of another dimension, is too large, or too small to be told from zero. Exponents, digit grouping and decimal commas are not read.",
			why:   "Quantities are kept exactly, so there is one plain way to write them.",
			wrong: "rover:\n  width: 42 cmm", right: "rover:\n  width: 42 cm"},
		{id: ruleOutOfRange, title: "A value is out of its range",
			what:  "A length that must be positive is not, a pin number is not one, a list has too few entries, a slowest speed is above the usual one, and so on. The finding says what the range is.",
			why:   "The value cannot be true, or the calculations were never proved for it.",
			wrong: "rover:\n  width: -0.42 m", right: "rover:\n  width: 0.42 m"},
		{id: ruleBadCoordinate, title: "A latitude or longitude cannot be read",
			what:  "Latitudes run from -90 to 90 degrees, longitudes from -180 to 180. They are written as decimal degrees, or as degrees, minutes and seconds with a hemisphere as in ISO 6709, annex D.",
			why:   "Coordinates are kept exactly as written, to the nanodegree, so they are read by strict rules.",
			wrong: "site:\n  origin: {latitude: 91.2, longitude: 6.1234, height: 412 m}", right: "site:\n  origin: {latitude: 45°18'04.4412\"N, longitude: 6.1234, height: 412 m}"},
		{id: ruleBadDate, title: "A date is not a calendar day",
			what:  "Days are written YYYY-MM-DD, the extended format of ISO 8601.",
			why:   "Other orders of day and month are read differently in different places.",
			wrong: "site: {date: 10.05.2026}", right: "site: {date: 2026-05-10}"},
		{id: ruleUnknownWord, title: "A value is none of the words that its key knows",
			what:  "Some keys hold one of a few words. The nearest is suggested.",
			why:   "There is nothing that the word could mean.",
			wrong: "receiver: {required: fix}", right: "receiver: {required: fixed}"},
		{id: ruleBadName, title: "A name cannot be used",
			what:  fmt.Sprintf("Names have letters A to Z, digits, spaces, hyphens and underscores, begin with a letter or digit, and have at most %d characters. The name of the mission begins with a letter and has at most %d. What a name becomes in C must not be a keyword of C or C++, nor a name that belongs to a header.", maxName, maxMissionName),
			why:   "Names become parts of C identifiers, comments, drawings and file names.",
			wrong: "mission: grove */ 1", right: "mission: grove 1"},
		{id: ruleNameClash, title: "Two names become the same C identifier",
			what:  "In C, letters become lower case, and spaces and hyphens become underscores. The names of all marks must still differ then, and so must those of the obstacles and of the holds.",
			why:   "The header would define one thing twice.",
			wrong: "marks:\n  gate-1: {latitude: 45.1, longitude: 6.1}\n  Gate 1: {latitude: 45.2, longitude: 6.1}",
			right: "marks:\n  gate-1: {latitude: 45.1, longitude: 6.1}\n  gate-2: {latitude: 45.2, longitude: 6.1}"},
		{id: ruleDuplicateMark, title: "A mark is written twice",
			what:  "A mark is written once: under marks or in the marks_file, not in both.",
			why:   "A mark has one position.",
			csv:   true,
			wrong: "name,latitude,longitude\nA,45.3012,6.1234\nA,45.3013,6.1234", right: "name,latitude,longitude\nA,45.3012,6.1234\nB,45.3013,6.1234"},
		{id: ruleTooManyMarks, title: "There are more marks than a mission may have",
			what: fmt.Sprintf("A mission has at most %d marks.", maxMarks),
			why:  "No board of the kind meant here could hold more; most likely the file holds more than the mission uses."},
		{id: ruleUnknownMark, title: "A mark is used that is not written anywhere",
			what:  "Routes, rings, tapes and the base refer to marks by name. Upper and lower case differ. The nearest name is suggested.",
			why:   "A position that nobody wrote cannot be driven to.",
			wrong: "marks:\n  A: {latitude: 45.1, longitude: 6.1}\n  B: {latitude: 45.2, longitude: 6.1}\nroute:\n  waypoints: [A, b]",
			right: "marks:\n  A: {latitude: 45.1, longitude: 6.1}\n  B: {latitude: 45.2, longitude: 6.1}\nroute:\n  waypoints: [A, B]"},
		{id: ruleClosedRing, title: "A ring repeats its first mark at its end",
			what:  "Boundaries and rings close by themselves: an edge leads from the last mark to the first.",
			why:   "In some notations the first point is repeated. Here that would be an edge of length zero.",
			wrong: "geofence:\n  boundary: [F1, F2, F3, F1]", right: "geofence:\n  boundary: [F1, F2, F3]"},
		{id: ruleEitherOr, title: "An obstacle is both round and a ring",
			what:  "An obstacle has a centre and a radius, or a ring.",
			why:   "Its shape must be one or the other.",
			wrong: "geofence:\n  obstacles: [{name: well, centre: W, radius: 1 m, ring: [S1, S2, S3]}]", right: "geofence:\n  obstacles: [{name: well, centre: W, radius: 1 m}]"},
		{id: ruleSameMark, title: "A tape runs from a mark to itself",
			what:  "A taped distance lies between two different marks.",
			why:   "It checks nothing.",
			wrong: "tape: [{from: A, to: A, measured: 4 m, uncertainty: 1 cm}]", right: "tape: [{from: A, to: B, measured: 4 m, uncertainty: 1 cm}]"},
		{id: ruleListedTwice, title: "A pin is listed twice",
			what:  "Each input pin of the board is listed once.",
			why:   "One of the two is a slip, and the pin that was meant is missing.",
			wrong: "board:\n  input_pins: [22, 24, 22]", right: "board:\n  input_pins: [22, 24, 26]"},
		{id: ruleBadFile, title: "The marks_file cannot be used",
			what:  "The file does not exist, cannot be read, or lies outside the folder of the mission.",
			why:   "A mission with its marks can be moved and archived as one folder, and reading a mission reads no other files of the machine.",
			wrong: "marks_file: ../survey/marks.csv", right: "mission: grove # with marks.csv beside it, and the line marks_file: marks.csv"},
		{id: ruleBadCSV, title: "A line of the marks_file cannot be read",
			what:  "The first line names the columns: name, latitude, longitude, and if need be height and uncertainty, in any order. Every other line has as many fields, with commas between them. Lines that begin with # are comments. A field may be in quotation marks, with a quotation mark within written twice.",
			why:   "A field that slipped into another column would be a wrong position.",
			csv:   true,
			wrong: "name,latitude,longitude\nA,45,3012,6.1234", right: "name,latitude,longitude\nA,45.3012,6.1234"},
		{id: ruleMore, title: "More errors are not shown",
			what: fmt.Sprintf("The first %d errors of a mission file and the first %d of a marks_file are shown.", maxFindings, maxMarksFindings),
			why:  "They are enough to see what is wrong with the whole file."},
	}
}
