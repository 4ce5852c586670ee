// Findings that appeared and disappeared. Two findings are the same when they
// are of one rule and say the same, whatever the figures in them and wherever in
// the file they point.
//
// They are neutral: the numbers behind them are judged above, and a finding can
// go because a hold was mended or because an uncertainty was talked down.
package diff

import (
	"regexp"

	"merestone/internal/diag"
)

// figure is a number standing alone, not part of a name such as L1S.
var figure = regexp.MustCompile(`(^|[\s(+\-−])\d+(\.\d+)?`)

func (b *builder) findings(before, after []diag.Finding) {
	left := map[string]int{}
	for _, f := range after {
		left[findingKey(f)]++
	}
	matched := map[string]int{} // of after, found in before
	var gone []diag.Finding
	for _, f := range before {
		k := findingKey(f)
		if left[k] > 0 {
			left[k]--
			matched[k]++
		} else {
			gone = append(gone, f)
		}
	}
	for i, f := range gone {
		b.effect(findingOrder(f, i), Change{Subject: f.Severity.String() + " " + f.Rule, What: "disappeared", Before: f.Message}, nil)
	}
	n := 0
	for _, f := range after {
		if k := findingKey(f); matched[k] > 0 {
			matched[k]--
			continue
		}
		b.effect(findingOrder(f, n), Change{Subject: f.Severity.String() + " " + f.Rule, What: "appeared", After: f.Message}, nil)
		n++
	}
}

// findingOrder puts errors first.
func findingOrder(f diag.Finding, i int) order {
	return order{section: findingSection, index: int(diag.Error) - int(f.Severity), name: f.Rule, rank: i}
}

func findingKey(f diag.Finding) string {
	return f.Rule + " " + f.Severity.String() + " " + figure.ReplaceAllString(f.Message, "${1}#")
}
