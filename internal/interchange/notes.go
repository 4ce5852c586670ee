// What is told of a file beside its places: each note once, with how many points it is
// about and the line of the first.
package interchange

import (
	"fmt"

	"merestone/internal/words"
)

// note is something that happens to many points of a file.
type note uint8

const (
	roundedAngle note = iota
	otherNotation
	gridPoint
	swappedPair
	ellipsoidHeight
	seaHeight
	unknownHeight
	groundHeight
	shiftedHeight
	separatedHeight
	saidHeight
	roundedHeight
	shortPath
	workedOut
	linked
	noGeometry
	noteCount
)

// say is a note about so many.
func (n note) say(count int) string {
	noun, what := n.words()
	return words.Plural(count, noun) + " " + what
}

func (n note) words() (noun, what string) {
	switch n {
	case roundedAngle:
		return "coordinate", "with more than nine decimals of a degree: rounded to nine, half to even, by 0.06 mm at most"
	case otherNotation:
		return "coordinate", "in another notation of degrees, which can be read in one way alone"
	case gridPoint:
		return "point", "worked out from the UTM grid on WGS 84, and rounded to nine decimals of a degree, by 0.06 mm at most"
	case swappedPair:
		return "point", "read the other way round, longitude for latitude, as you say"
	case ellipsoidHeight:
		return "height", "above the ellipsoid of WGS 84, as the file or its format says"
	case seaHeight:
		return "height", `above the sea, where a mission's are above the ellipsoid: left out; --separation "47.20 m" takes them, where the geoid is so high above the ellipsoid`
	case unknownHeight:
		return "height", "of which the file does not say above what: left out; --ellipsoidal takes them as above the ellipsoid, --separation as above the sea"
	case groundHeight:
		return "height", "above the ground, or of what is drawn on it: left out"
	case shiftedHeight:
		return "height", "above the sea, as you say, and raised by the separation"
	case separatedHeight:
		return "height", "above the sea, and raised by the separation that the file has beside it"
	case saidHeight:
		return "height", "above the ellipsoid, as you say"
	case roundedHeight:
		return "height", "with more than six decimals of a metre: rounded to six"
	case shortPath:
		return "line", "of fewer than two points: left out"
	case workedOut:
		return "drawing", "of a plan (standoff, cut): left out, since it is worked out and not surveyed"
	case linked:
		return "link", "to another file: not followed"
	default:
		return "thing", "without a place: left out"
	}
}

func (r *reading) count(n note, line int) {
	if r.counted[n]++; r.counted[n] == 1 {
		r.first[n] = line
	}
}

// tell makes notes of what was counted.
func (r *reading) tell() {
	for n := range noteCount {
		if r.counted[n] > 0 {
			r.data.Notes = append(r.data.Notes, fmt.Sprintf("%s (first in line %d)", n.say(r.counted[n]), r.first[n]))
		}
	}
}
