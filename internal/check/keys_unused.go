// Rule keys.unused: no key is written that nothing uses.
package check

import "merestone/internal/diag"

func unusedRule() Rule {
	return newRule("keys.unused", diag.Warning, "no key is written that nothing uses", func(v *view, report func(diag.Finding)) {
		for _, u := range v.Unused {
			f := at(u.Source, "%s is written, but nothing uses it: %s", diag.The(diag.Key, u.Path), u.Why)
			f.Remedy = "take it out, or mend what leaves it without effect"
			report(f)
		}
	})
}
