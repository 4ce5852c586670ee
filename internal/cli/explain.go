// merestone explain: the page of a rule.
package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"merestone/internal/diag"
	"merestone/internal/pipeline"
	"merestone/internal/words"
)

func (a app) explainCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "explain [RULE]",
		Short: "show what a rule compares, why, and what to do",
		Long: `Prints the page of RULE, the id that a finding ends with in square
brackets. Without RULE, lists every rule with its title; with the part of
an id before the dot, such as geometry, lists the rules of that group.`,
		Example: `  merestone explain
  merestone explain geometry
  merestone explain geometry.clearance`,
		Args: arguments(0, 1, "", "one rule at a time, but there are %d: %q"),
		ValidArgsFunction: completeFrom(func() []string {
			var ids []string
			for _, r := range pipeline.Rules() {
				ids = append(ids, string(r.ID)+"\t"+r.Title)
			}
			return ids
		}),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				a.listRules(pipeline.Rules())
				return nil
			}
			return a.explain(args[0])
		},
	}
}

func (a app) explain(id string) error {
	var ids []string
	var group []diag.Rule
	for _, r := range pipeline.Rules() {
		ids = append(ids, string(r.ID))
		if string(r.ID) == id {
			fmt.Fprint(a.data, words.Reflow(rulePage(r), a.outOn.Wide())) // with a tab in an example
			return nil
		}
		if strings.HasPrefix(string(r.ID), id+".") {
			group = append(group, r)
		}
	}
	if len(group) > 0 {
		a.listRules(group)
		return nil
	}
	if near, ok := words.Nearest(id, ids); ok {
		return fmt.Errorf("there is no rule %q; did you mean %q?", id, near)
	}
	return fmt.Errorf("there is no rule %q; 'merestone explain' lists them all", id)
}

// rulePage is the page of one rule, in Markdown: its help, under a heading of id
// and title where it brings none of its own, and its severity.
func rulePage(r diag.Rule) string {
	help := strings.TrimSpace(r.Help)
	if !strings.HasPrefix(help, "# ") {
		help = fmt.Sprintf("# %s: %s\n\n%s", r.ID, r.Title, help)
	}
	return fmt.Sprintf("%s\n\nUsual severity: %s.\n", help, r.Severity)
}

func (a app) listRules(rules []diag.Rule) {
	wide := 0
	for _, r := range rules {
		wide = max(wide, len(r.ID))
	}
	for _, r := range rules {
		fmt.Fprintf(a.out, "%-*s  %-7s  %s\n", wide, r.ID, r.Severity, r.Title)
	}
}
