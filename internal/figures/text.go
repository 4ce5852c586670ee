// The canonical text of a mission: one figure a line, and its digest.
//
// Version 1. The text is UTF-8 with lines ended by a newline:
//
//	merestone mission 1
//	KEY VALUE
//
// KEY is the path of the language, in the order of its reference; the entries of
// a list have their name in place of the brackets ("holds.thumb switch.pin"), a
// waypoint that of its mark, with #2 behind it at the second visit. Marks and
// tapes stand in the order of their names, for theirs means nothing; obstacles,
// holds, waypoints and corners in the order written. VALUE is the value as the
// plan holds it, in one unit for each figure, with all its decimals; or a word.
// A value that is usual is left out, whether it was written or not.
//
// So a tool that learns a new key gives old missions the text that they had. A
// key that changes its usual value, its unit or its rounding changes the text of
// old missions or, worse, leaves it as it was: then the version in the first line
// is to be raised.
package figures

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"strings"

	"merestone/internal/plan"
)

// textVersion is that of the canonical text.
const textVersion = 1

// Text is the canonical text of a mission. Missions with the same text have the
// same meaning, and say the same in everything that diff compares.
func Text(p *plan.Plan) []byte {
	var out bytes.Buffer
	fmt.Fprintf(&out, "merestone mission %d\n", textVersion)
	for _, b := range Blocks() {
		for _, item := range b.Items(p) {
			for _, f := range b.Figures {
				v := f.get(p, item.Index)
				if !v.Said || f.usual != nil && f.Equal(v, f.usual(p)) {
					continue
				}
				key := f.Key
				if item.Name != "" {
					key = strings.TrimSuffix(strings.TrimSuffix(b.Key, "[]"), ".NAME") + "." + item.Name + "." + f.name
				}
				if v.List == nil {
					v.List = []string{f.Words(v)}
				}
				for _, line := range v.List {
					fmt.Fprintf(&out, "%s %s\n", key, line)
				}
			}
		}
	}
	return out.Bytes()
}

// Digest is the SHA-256 of the canonical text.
func Digest(p *plan.Plan) [32]byte { return sha256.Sum256(Text(p)) }
