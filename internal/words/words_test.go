package words_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/words"
)

func TestNumbersAndLists(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{words.Plural(0, "leg"), "0 legs"},
		{words.Plural(1, "leg"), "1 leg"},
		{words.Count(2, "entry", "entries"), "2 entries"},
		{words.And(nil), ""},
		{words.And([]string{"a"}), "a"},
		{words.And([]string{"a", "b"}), "a and b"},
		{words.And([]string{"a", "b", "c"}), "a, b and c"},
		{words.Few([]string{"A", "B", "C", "D", "E"}, ", "), "A, B, C, D, E"}, // "and 1 more" is no shorter
		{words.Few([]string{"A", "B", "C", "D", "E", "F"}, "; "), "A; B; C; D and 2 more"},
		{words.MM(1230).String(), "1.23 m"},
		{words.MM(1234).String(), "1.234 m"},
		{words.MM(-5).String(), "-0.005 m"},
		{words.MM(0).Bare(), "0.00"},
		{words.MMPerS(601).String(), "0.601 m/s"},
		{words.Decimal(0.1, 2), "0.10"},
		{words.Decimal(0.1234567, 2), "0.1234567"},
		{words.Decimal(1e21, 0), "1000000000000000000000"},
		{words.YesNo(true) + words.YesNo(false), "yesno"},
	} {
		assert.Equal(t, c.want, c.got)
	}
}

func TestColumns(t *testing.T) {
	assert.Equal(t, []string{"leg   length m", "A–B        1.2", "long"}, words.Columns([][]string{{"leg", "length m"}, {"A–B", "1.2"}, {"long"}}))
}

func TestIdentifier(t *testing.T) {
	for name, want := range map[string]string{
		"walnut-grove-rows": "walnut_grove_rows",
		"Old Well":          "old_well",
		"A":                 "a",
		"a - b__c":          "a_b_c",
		"row 7 ":            "row_7",
		"F1":                "f1",
	} {
		assert.Equal(t, want, words.Identifier(name), name)
	}
}

func TestNeighbours(t *testing.T) {
	marks := []string{"P1", "P2", "PX", "well", "Wall", "gate north", "gate south"}
	for word, want := range map[string][]string{
		"p1":         {"P1"},             // the case alone differs
		"P3":         {"P1", "P2", "PX"}, // one letter of two
		"wel":        {"well"},
		"wall":       {"Wall"},
		"wbll":       {"well", "Wall"},
		"wlel":       {"well"}, // two letters changed places
		"gate nouth": {"gate north", "gate south"},
		"gate":       nil, // several have it in them
		"north":      {"gate north"},
		"Q":          nil,
		"":           nil,
	} {
		assert.Equal(t, want, words.Neighbours(word, marks), word)
		near, ok := words.Nearest(word, marks)
		assert.Equal(t, len(want) == 1, ok, word)
		if ok {
			assert.Equal(t, want[0], near)
		}
	}
}

// Words of any length cost no time: a pair of a megabyte each would take hours.
func TestNearestOfLongWords(t *testing.T) {
	for length, want := range map[int]bool{64: true, 65: false, 1 << 20: false} {
		word := strings.Repeat("x", length-1)
		_, ok := words.Nearest(word+"y", []string{word + "z"})
		assert.Equal(t, want, ok, length)
	}
}
