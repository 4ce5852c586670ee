// The rules by which a mark is refused or doubted. Their pages are in docs/rules.
package occupy

import "merestone/internal/diag"

const (
	ruleLog       diag.ID = "occupy.log"
	ruleQuality   diag.ID = "occupy.quality"
	ruleFew       diag.ID = "occupy.few"
	ruleRepeated  diag.ID = "occupy.repeated"
	ruleTwoPlaces diag.ID = "occupy.two-places"
	ruleOutliers  diag.ID = "occupy.outliers"
	ruleWalked    diag.ID = "occupy.walked"
	ruleDrift     diag.ID = "occupy.drift"
	ruleShort     diag.ID = "occupy.short"
	ruleReception diag.ID = "occupy.reception"
	ruleOnce      diag.ID = "occupy.once"
	ruleDisagree  diag.ID = "occupy.disagree"
	ruleHeight    diag.ID = "occupy.height"
)

// Rules documents the findings of an occupation.
func Rules() []diag.Rule {
	return []diag.Rule{
		{ID: ruleLog, Severity: diag.Warning, Title: "a receiver's log is read as it was written"},
		{ID: ruleQuality, Severity: diag.Error, Title: "a mark is made of fixes of the quality that is asked for"},
		{ID: ruleFew, Severity: diag.Error, Title: "a mark is made of enough fixes to see how they scatter"},
		{ID: ruleRepeated, Severity: diag.Error, Title: "a receiver measures anew for each fix"},
		{ID: ruleTwoPlaces, Severity: diag.Error, Title: "the fixes on a mark are of one place"},
		{ID: ruleOutliers, Severity: diag.Error, Title: "few fixes on a mark are far from the others"},
		{ID: ruleWalked, Severity: diag.Note, Title: "the way to a mark and from it is no part of it"},
		{ID: ruleDrift, Severity: diag.Warning, Title: "the fixes on a mark do not drift"},
		{ID: ruleShort, Severity: diag.Note, Title: "a mark is occupied for long enough to know how well it is known"},
		{ID: ruleReception, Severity: diag.Warning, Title: "a receiver on a mark has fresh corrections and enough satellites"},
		{ID: ruleOnce, Severity: diag.Note, Title: "a mark is occupied twice, at different hours"},
		{ID: ruleDisagree, Severity: diag.Error, Title: "two occupations of a mark agree"},
		{ID: ruleHeight, Severity: diag.Warning, Title: "a mark has an ellipsoidal height"},
	}
}
