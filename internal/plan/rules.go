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
)

// Rules documents the findings of Resolve.
func Rules() []diag.Rule {
	return []diag.Rule{
		{ID: rulePole, Severity: diag.Error, Title: "the site is not at a pole"},
		{ID: ruleAntimeridian, Severity: diag.Error, Title: "the site does not lie across the meridian of 180 degrees"},
		{ID: ruleExtent, Severity: diag.Error, Title: "the site reaches at most 20 km from its origin"},
		{ID: ruleExchanged, Severity: diag.Error, Title: "latitude and longitude are not exchanged"},
		{ID: ruleBound, Severity: diag.Error, Title: "the board's conversion and tables can hold the site"},
	}
}
