// The rules of this package: what a finding of Parse can be of. Their pages are in
// docs/rules.
package spec

import "merestone/internal/diag"

const (
	ruleTooLarge         diag.ID = "spec.too-large"
	ruleNotText          diag.ID = "spec.not-text"
	ruleEmptyFile        diag.ID = "spec.empty-file"
	ruleTab              diag.ID = "spec.tab"
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
	ruleGap              diag.ID = "spec.gap"
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
	ruleAccuracy         diag.ID = "spec.accuracy"
	ruleExtraColumn      diag.ID = "spec.extra-column"
	ruleMore             diag.ID = "spec.more"
)

// Rules documents the findings of Parse, in the order in which it comes to them.
// All are errors but those on accuracies and columns, and one that warns of long names.
func Rules() []diag.Rule {
	return []diag.Rule{
		{ID: ruleTooLarge, Severity: diag.Error, Title: "The input is larger than any mission needs"},
		{ID: ruleNotText, Severity: diag.Error, Title: "The file is not plain text in UTF-8"},
		{ID: ruleEmptyFile, Severity: diag.Error, Title: "The file holds no keys"},
		{ID: ruleTab, Severity: diag.Error, Title: "A tab stands outside comments and line ends"},
		{ID: ruleYAMLSyntax, Severity: diag.Error, Title: "The file is not valid YAML"},
		{ID: ruleSeveralDocuments, Severity: diag.Error, Title: "The file holds more than one YAML document"},
		{ID: ruleTooDeep, Severity: diag.Error, Title: "Blocks and lists lie too deep within each other"},
		{ID: ruleTooManyAliases, Severity: diag.Error, Title: "Aliases stand for more than any mission needs"},
		{ID: ruleUnknownAnchor, Severity: diag.Error, Title: "An alias refers to no anchor before it"},
		{ID: ruleTag, Severity: diag.Error, Title: "A YAML tag is of no use here"},
		{ID: ruleWrongType, Severity: diag.Error, Title: "A value is of another kind than its key holds"},
		{ID: ruleDuplicateKey, Severity: diag.Error, Title: "A key is written twice in one block"},
		{ID: ruleUnknownKey, Severity: diag.Error, Title: "A block has a key that it does not know"},
		{ID: ruleMissingKey, Severity: diag.Error, Title: "A key that is needed is missing"},
		{ID: ruleEmptyValue, Severity: diag.Error, Title: "A key has no value"},
		{ID: ruleGap, Severity: diag.Error, Title: "A value is still to be filled in"},
		{ID: ruleNoUnit, Severity: diag.Error, Title: "A quantity has no unit"},
		{ID: ruleBadQuantity, Severity: diag.Error, Title: "A quantity cannot be read"},
		{ID: ruleOutOfRange, Severity: diag.Error, Title: "A value is out of its range"},
		{ID: ruleBadCoordinate, Severity: diag.Error, Title: "A latitude or longitude cannot be read"},
		{ID: ruleBadDate, Severity: diag.Error, Title: "A date is not a calendar day"},
		{ID: ruleUnknownWord, Severity: diag.Error, Title: "A value is none of the words that its key knows"},
		{ID: ruleBadName, Severity: diag.Error, Title: "A name or a text cannot be used"},
		{ID: ruleNameClash, Severity: diag.Error, Title: "Two names become the same C identifier"},
		{ID: ruleDuplicateMark, Severity: diag.Error, Title: "A mark is written twice"},
		{ID: ruleTooManyMarks, Severity: diag.Error, Title: "There are more marks than a mission may have"},
		{ID: ruleUnknownMark, Severity: diag.Error, Title: "A mark is used that is not written anywhere"},
		{ID: ruleClosedRing, Severity: diag.Error, Title: "A ring repeats its first mark at its end"},
		{ID: ruleEitherOr, Severity: diag.Error, Title: "A thing is given in two ways at once"},
		{ID: ruleSameMark, Severity: diag.Error, Title: "A line or a tape runs from a mark to itself"},
		{ID: ruleListedTwice, Severity: diag.Error, Title: "Something is listed twice"},
		{ID: ruleBadFile, Severity: diag.Error, Title: "The marks_file cannot be used"},
		{ID: ruleBadCSV, Severity: diag.Error, Title: "A line of the marks_file cannot be read"},
		{ID: ruleAccuracy, Severity: diag.Note, Title: "An accuracy with its probability becomes one standard deviation"},
		{ID: ruleExtraColumn, Severity: diag.Note, Title: "A column of the marks_file is not read"},
		{ID: ruleMore, Severity: diag.Error, Title: "More errors are not shown"},
	}
}
