// The word that was probably meant.
package words

import (
	"strings"

	"github.com/agnivade/levenshtein"
)

// longestWord is the longest that is looked up, in bytes. The distance takes time with
// the product of two lengths, and a word that long is no slip of the pen.
const longestWord = 64

// Nearest is the candidate that was probably meant: the one with the least edit
// distance, upper and lower case alike, if no more than a third of the word
// would have to change, or one letter of two.
func Nearest(word string, candidates []string) (string, bool) {
	if len(word) > longestWord {
		return "", false
	}
	best, least := "", max(1, len(word)/3)+1
	for _, candidate := range candidates {
		if difference := len(candidate) - len(word); difference >= least || -difference >= least {
			continue
		}
		if distance := levenshtein.ComputeDistance(strings.ToLower(word), strings.ToLower(candidate)); distance < min(least, len(word)) {
			best, least = candidate, distance
		}
	}
	if best == "" {
		return onlyWith(word, candidates)
	}
	return best, true
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
