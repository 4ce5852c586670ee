// The rules of this package: what Resolve itself refuses, because nothing could
// be proved of the rest.
package plan

import "merestone/internal/diag"

const (
	rulePole         diag.ID = "geometry.pole"
	ruleAntimeridian diag.ID = "geometry.antimeridian"
	ruleExtent       diag.ID = "geometry.extent"
	ruleExchanged    diag.ID = "geometry.exchanged"
	ruleBound        diag.ID = "precision.bound"
	ruleCircular     diag.ID = "measured.circular"
	ruleChain        diag.ID = "measured.chain"
	ruleApart        diag.ID = "measured.apart"
	ruleWeak         diag.ID = "measured.weak"
	ruleFit          diag.ID = "measured.fit"
	ruleDeclination  diag.ID = "measured.declination"
)

// Rules documents the findings of Resolve.
func Rules() []diag.Rule {
	return []diag.Rule{
		{ID: rulePole, Severity: diag.Error, Title: "the site is not at a pole"},
		{ID: ruleAntimeridian, Severity: diag.Error, Title: "the site does not lie across the meridian of 180 degrees"},
		{ID: ruleExtent, Severity: diag.Error, Title: "the site reaches at most 20 km from its origin"},
		{ID: ruleExchanged, Severity: diag.Error, Title: "latitude and longitude are not exchanged"},
		{ID: ruleBound, Severity: diag.Error, Title: "the board's conversion and tables can hold the site"},
		{ID: ruleCircular, Severity: diag.Error, Title: "no mark is measured from itself by way of others"},
		{ID: ruleChain, Severity: diag.Error, Title: "a mark hangs on at most 100 measured quantities"},
		{ID: ruleApart, Severity: diag.Error, Title: "tapes to a mark reach each other"},
		{ID: ruleWeak, Severity: diag.Error, Title: "a measured mark is told by its measurements"},
		{ID: ruleFit, Severity: diag.Error, Title: "more than two tapes to a mark fit"},
		{ID: ruleDeclination, Severity: diag.Error, Title: "the declination is known on the day of a magnetic bearing"},
	}
}
