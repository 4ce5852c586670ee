// What a finding says and what it is about, and what no finding may be.
package diag_test

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/diag"
	"merestone/internal/words"
)

func leg(name string, i int) diag.Subject {
	return diag.Subject{Kind: diag.Leg, Name: name, Index: i}
}

func TestFindingIsAboutWhatItNames(t *testing.T) {
	a, b, c := leg("A–B", 0), leg("B–C", 1), leg("C–D", 2)
	well := diag.Subject{Kind: diag.Obstacle, Name: "well", Index: 0}
	f := diag.New(diag.Position{File: "m.yaml"}, "%s passes %s from %s", a, words.MM(410), diag.Say("%s, %s", well, diag.Name(b)))
	f.Add("; so do %s (%.0f %%)", diag.Names([]diag.Subject{b, c, a}, ", "), 12.4)
	assert.Equal(t, "leg A–B passes 0.41 m from obstacle well, B–C; so do B–C, C–D, A–B (12 %)", f.Message())
	assert.Equal(t, []diag.Subject{a, well, b, c}, f.About, "each once, as they are named")
	assert.Len(t, f.Args, 5)

	// Two findings that begin alike do not share what is added.
	one, two := f, f
	one.Add("; %s", c)
	two.Add("; %s", a)
	assert.Contains(t, one.Message(), "; leg C–D")
}

func TestThingsInWordsAndForPrograms(t *testing.T) {
	for _, c := range []struct {
		thing       diag.Subject
		words, path string
	}{
		{leg("A–B", 3), "leg A–B", "leg[3]"},
		{diag.The(diag.Boundary, ""), "boundary", "boundary"},
		{diag.The(diag.Key, "rover.width"), "rover.width", "rover.width"},
		{diag.The(diag.Pin, "22"), "pin 22", "pin 22"},
		{diag.Subject{Kind: diag.Edge, Name: "F1–F2", Index: 2, Ring: diag.BoundaryRing}, "edge F1–F2", "boundary.edge[2]"},
		{diag.Subject{Kind: diag.Edge, Name: "S1–S2", Index: 0, Ring: 1}, "edge S1–S2", "obstacle[1].edge[0]"},
	} {
		assert.Equal(t, []string{c.words, c.path}, []string{c.thing.String(), c.thing.Path()})
	}
}

// A finding that was made badly is caught where it is sorted, in tests.
func TestBadFindingsPanicInTests(t *testing.T) {
	sound := func() diag.Finding {
		f := diag.New(diag.Position{File: "m.yaml"}, "%s: %v", leg("A–B", 0), errors.New("100 %!"))
		f.Rule, f.Severity = "geometry.clearance", diag.Error
		return f
	}
	assert.NotPanics(t, func() { diag.Sort([]diag.Finding{sound()}) }, "text of a file may look like a mistake of the format")
	for fault, spoil := range map[string]func(*diag.Finding){
		"no rule":       func(f *diag.Finding) { f.Rule = "" },
		"no severity":   func(f *diag.Finding) { f.Severity = 0 },
		"no place":      func(f *diag.Finding) { f.At = diag.Position{} },
		"about nothing": func(f *diag.Finding) { f.About = nil },
		"a format that does not go with its arguments":         func(f *diag.Finding) { f.Format += " %d" },
		"a format that does not go with its arguments, beyond": func(f *diag.Finding) { f.Args = append(f.Args, 5) },
		"a format that does not go with its arguments, within": func(f *diag.Finding) { f.Args[1] = diag.Phrase{Format: "%d", Args: []any{"x"}} },
		"a format that does not go with its arguments, listed": func(f *diag.Finding) {
			f.Args[1] = diag.List{Items: []any{diag.Phrase{Format: "%s %s", Args: []any{"x"}}}}
		},
	} {
		f := sound()
		spoil(&f)
		assert.Panics(t, func() { diag.Sort([]diag.Finding{f}) }, fault)
	}
}
