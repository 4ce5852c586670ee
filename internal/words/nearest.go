// The word that was probably meant.
package words

import (
	"slices"
	"strings"

	"github.com/agnivade/levenshtein"
)

// longestWord is the longest that is looked up, in bytes. The distance takes time with
// the product of two lengths, and a word that long is no slip of the pen.
const longestWord = 64

// longestList is how many are looked for that are equally near: so many tell nobody
// anything.
const longestList = 8

// Nearest is the one candidate that was probably meant; none, where several are as near.
func Nearest(word string, candidates []string) (string, bool) {
	near := Neighbours(word, candidates)
	if len(near) != 1 {
		return "", false
	}
	return near[0], true
}

// Neighbours are the candidates that were probably meant, in their order: those with the
// least edit distance, upper and lower case alike, if no more than a third of the word
// would have to change, or one letter of two.
func Neighbours(word string, candidates []string) []string {
	if len(word) > longestWord {
		return nil
	}
	var near []string
	most := min(max(1, len(word)/3), len(word)-1)
	for _, candidate := range candidates {
		if difference := len(candidate) - len(word); difference > most || -difference > most {
			continue
		}
		switch distance := distanceOf(strings.ToLower(word), strings.ToLower(candidate)); {
		case distance > most:
		case distance < most || len(near) == 0:
			near, most = []string{candidate}, distance
		case len(near) < longestList && !slices.Contains(near, candidate):
			near = append(near, candidate)
		}
	}
	if only, ok := onlyWith(word, candidates); ok && len(near) == 0 {
		return []string{only}
	}
	return near
}

// distanceOf is the edit distance, by which two letters side by side that changed places
// are one edit where nothing else is wrong.
func distanceOf(word, other string) int {
	if len(word) == len(other) && len(word) > 2 {
		i := 0
		for i < len(word) && word[i] == other[i] {
			i++
		}
		if i+1 < len(word) && word[i] == other[i+1] && word[i+1] == other[i] && word[i+2:] == other[i+2:] {
			return 1
		}
	}
	return levenshtein.ComputeDistance(word, other)
}

// onlyWith is the one candidate that the word is a part of: "open" of
// "normally-open".
func onlyWith(word string, candidates []string) (string, bool) {
	found := ""
	for _, candidate := range candidates {
		if len(word) < 3 || !strings.Contains(candidate, word) {
			continue
		}
		if found != "" {
			return "", false
		}
		found = candidate
	}
	return found, found != ""
}
