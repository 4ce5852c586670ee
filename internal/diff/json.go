// The JSON writer: the whole result as one object, for programs. Members may be
// added, none is renamed or removed:
//
//	{
//	  "tool": "merestone", "version": "0.1.0",
//	  "old": {"name": "HEAD~1:m.yaml", "mission": "...", "resolved": true, "complete": true},
//	  "new": {...},
//	  "same": false,
//	  "errors": [{"in": "both", "rule": "tape.mismatch", "message": "..."}],
//	  "counts": {"look at": 0, "loosens": 1, "neutral": 2, "tightens": 0},   effects included
//	  "changes": [
//	    {"kind": "neutral", "subject": "mark B", "what": "moved", "before": "...", "after": "...",
//	     "move": {"distance_m": 0.32, "bearing_deg": 87}, "path": "marks.B",
//	     "effects": [{"kind": "loosens", "subject": "leg A–B", "what": "clearance",
//	                  "number": {"before": 3.2, "after": 2.9, "delta": -0.3, "unit": "m"}, ...}]}
//	  ]
//	}
package diff

import (
	"io"

	"merestone/internal/version"
	"merestone/internal/words"
)

// WriteJSON writes a result for a program.
func WriteJSON(w io.Writer, r Result) error {
	return words.WriteJSON(w, struct {
		Tool    string         `json:"tool"`
		Version string         `json:"version"`
		Old     Side           `json:"old"`
		New     Side           `json:"new"`
		Same    bool           `json:"same"`
		Errors  []Standing     `json:"errors"`
		Counts  map[string]int `json:"counts"`
		Changes []Change       `json:"changes"`
	}{
		"merestone", version.Tool, r.Old, r.New, r.Same(), r.Errors,
		map[string]int{"look at": r.Count(Look), "loosens": r.Count(Loosens), "neutral": r.Count(Neutral), "tightens": r.Count(Tightens)},
		r.Changes,
	})
}
