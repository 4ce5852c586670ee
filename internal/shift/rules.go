// The rules by which a shift is refused or doubted. Their pages are in docs/rules.
package shift

import "merestone/internal/diag"

const (
	ruleFit         diag.ID = "shift.fit"
	ruleMissing     diag.ID = "shift.missing-mark"
	ruleOther       diag.ID = "shift.other-mark"
	ruleUncertainty diag.ID = "shift.uncertainty"
	ruleBound       diag.ID = "shift.bound"
	ruleRotation    diag.ID = "shift.rotation"
	ruleOccupation  diag.ID = "shift.occupation"
)

// Rules documents the findings of a shift.
func Rules() []diag.Rule {
	return []diag.Rule{
		{ID: ruleFit, Severity: diag.Error, Title: "occupied marks agree on today's shift"},
		{ID: ruleMissing, Severity: diag.Error, Title: "every control mark was occupied"},
		{ID: ruleOther, Severity: diag.Error, Title: "only control marks were occupied"},
		{ID: ruleUncertainty, Severity: diag.Error, Title: "today's shift is known as well as the mission was checked with"},
		{ID: ruleBound, Severity: diag.Error, Title: "today's shift is one that the base can have"},
		{ID: ruleRotation, Severity: diag.Error, Title: "fixes are turned where the mission asks for it, and only there"},
		{ID: ruleOccupation, Severity: diag.Warning, Title: "fixes on a mark can be trusted"},
	}
}
