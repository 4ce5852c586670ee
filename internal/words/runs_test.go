package words_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/words"
)

func TestRuns(t *testing.T) {
	for names, want := range map[string]string{
		"":                        "",
		"A":                       "A",
		"T1 T2":                   "T1, T2",
		"T1 T2 T3":                "T1 to T3",
		"A T9 T10 T11 S1 S2 T12":  "A, T9 to T11, S1, S2, T12",
		"T1 T2 T4 T5 T6":          "T1, T2, T4 to T6",
		"T01 T02 T03":             "T01, T02, T03",
		"T3 T2 T1":                "T3, T2, T1",
		"1 2 3":                   "1 to 3",
		"T1 T1 T1":                "T1, T1, T1",
		"T999999999 T1000000000":  "T999999999, T1000000000",
		"T99999999999999999999 T": "T99999999999999999999, T",
	} {
		assert.Equal(t, want, strings.Join(words.Runs(strings.Fields(names)), ", "), names)
	}
}
