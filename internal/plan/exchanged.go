// Marks whose latitude and longitude changed places. Both are degrees, and where
// neither is beyond 90 nothing but the rest of the site gives it away: the other way
// round, the mark lies among the others.
package plan

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"

	"merestone/internal/board"
	"merestone/internal/diag"
	"merestone/internal/elementary"
	"merestone/internal/geodesy"
)

const (
	// A mark within reach of the origin is only suspected: where it is at least
	// this far from the rest of the site, and by this factor farther than the half
	// of the marks is and than it would be the other way round (common practice, no
	// source). Away from where latitude equals longitude no mark within reach
	// comes near it.
	suspectM      = 200
	suspectFactor = 10
)

// exchanged tells of the marks that would lie at the site if their two coordinates
// changed places, all in one finding, and returns those of the marks beyond that
// would not.
func (r *resolver) exchanged(beyond []far) (rest []far) {
	written, other := 0.0, 0.0 // of the farthest
	swapped := map[int]bool{}
	for _, b := range beyond {
		if d, ok := r.otherWayRound(b.mark.Index, geodesy.Local{}); ok {
			swapped[b.mark.Index] = true
			written, other = max(written, b.metres), max(other, d)
		} else {
			rest = append(rest, b)
		}
	}
	severity := diag.Error
	if len(beyond) == 0 {
		severity = diag.Warning
		middle := r.middle()
		least := max(suspectM, suspectFactor*r.spread(middle))
		for i, m := range r.p.Survey.Marks {
			if m.Measured.Form != Surveyed {
				continue
			}
			east, north := Metres(m.Point.E), Metres(m.Point.N)
			d := min(elementary.Hypot(east, north), elementary.Hypot(east-middle.EastM, north-middle.NorthM))
			around, ok1 := r.otherWayRound(i, geodesy.Local{})
			among, ok2 := r.otherWayRound(i, middle)
			if near := min(around, among); ok1 && ok2 && d >= least && suspectFactor*near <= d {
				swapped[i] = true
				written, other = max(written, d), max(other, near)
			}
		}
	}
	if len(swapped) == 0 {
		return rest
	}
	var names []diag.Subject
	whole := map[string]bool{} // files of which all marks are
	surveyed := 0
	for i, m := range r.p.Survey.Marks {
		if m.Measured.Form != Surveyed {
			continue
		}
		surveyed++
		if _, seen := whole[m.At.File]; !seen {
			whole[m.At.File] = true
		}
		whole[m.At.File] = whole[m.At.File] && swapped[i]
		if swapped[i] {
			names = append(names, diag.Subject{Kind: diag.Mark, Name: m.Name, Index: i})
		}
	}
	first := r.p.Survey.Marks[names[0].Index]
	whose, remedy := diag.Say("%s", names[0]), "write them the other way round: latitude is north or south of the equator"
	if n := len(names); n > 1 {
		whose = diag.Say("%d of %d marks (%s)", n, surveyed, diag.Names(names, ", "))
	}
	switch n := len(names); {
	case n == surveyed:
		whose = diag.Say("the origin, or of every mark,")
		remedy = "look which of the two is the wrong way round: site.origin or all marks"
	case n > 1 && whole[first.At.File]:
		whose = diag.Say("all %d marks of %s", n, filepath.Base(first.At.File))
		remedy = "exchange the two columns"
	}
	r.fail(ruleExchanged, names[0], first.Path, remedy,
		"latitude and longitude of %s seem to be exchanged: as written up to %s km from the site, the other way round within %s km of it",
		whose, fmt.Sprintf("%.1f", written/1000), fmt.Sprintf("%.1f", math.Ceil(other/100)/10))
	f := &r.findings[len(r.findings)-1]
	f.Severity, f.About = severity, names
	if len(names) <= mostExchanged {
		f.Wishes = r.exchange(names)
	}
	return rest
}

// mostExchanged is how many marks are offered to be exchanged at once.
const mostExchanged = 500

// exchange is to write the two of each mark the other way round; or those of the origin,
// where all marks are.
func (r *resolver) exchange(marks []diag.Subject) []diag.Wish {
	both := func(path string) []diag.Setting {
		latitude, longitude := path+".latitude", path+".longitude"
		return []diag.Setting{{Paths: []string{latitude}, As: longitude}, {Paths: []string{longitude}, As: latitude}}
	}
	of := diag.Wish{Does: fmt.Sprintf("exchange latitude and longitude of %v", diag.Names(marks, ", "))}
	for _, m := range marks {
		of.Set = append(of.Set, both(r.p.Survey.Marks[m.Index].Path)...)
	}
	if len(marks) == len(r.p.Survey.Marks) {
		return []diag.Wish{{Does: "exchange latitude and longitude of site.origin", Set: both("site.origin")}, of}
	}
	return []diag.Wish{of}
}

// otherWayRound is how far a mark with its coordinates exchanged would be from a
// place of the frame; false where that is no place within reach of the origin.
func (r *resolver) otherWayRound(mark int, from geodesy.Local) (metres float64, ok bool) {
	g := r.p.Survey.Marks[mark].Geodetic
	const quarter = 90 * geodesy.Degree
	if g.Longitude < -quarter || g.Longitude > quarter {
		return 0, false
	}
	at := r.p.Site.Frame.ToLocal(geodesy.Geodetic{Latitude: g.Longitude, Longitude: g.Latitude, HeightM: r.p.Site.Origin.HeightM})
	const reach = board.MaxCoordinateMM / 1000
	within := at.EastM >= -reach && at.EastM <= reach && at.NorthM >= -reach && at.NorthM <= reach && at.UpM > -reach
	return elementary.Hypot(at.EastM-from.EastM, at.NorthM-from.NorthM), within
}

// middle is the median place of the marks: half of them may be wrong.
func (r *resolver) middle() geodesy.Local {
	var east, north []int64
	for _, m := range r.p.Survey.Marks {
		if !m.Measured.Form.FromOthers() {
			east, north = append(east, m.Point.E), append(north, m.Point.N)
		}
	}
	if len(east) == 0 {
		return geodesy.Local{}
	}
	slices.Sort(east)
	slices.Sort(north)
	return geodesy.Local{EastM: Metres(east[len(east)/2]), NorthM: Metres(north[len(north)/2])}
}

// spread is the distance from the middle within which half of the marks are.
func (r *resolver) spread(middle geodesy.Local) float64 {
	var distances []float64
	for _, m := range r.p.Survey.Marks {
		if m.Measured.Form.FromOthers() {
			continue
		}
		distances = append(distances, elementary.Hypot(Metres(m.Point.E)-middle.EastM, Metres(m.Point.N)-middle.NorthM))
	}
	if len(distances) == 0 {
		return 0
	}
	slices.Sort(distances)
	return distances[len(distances)/2]
}
