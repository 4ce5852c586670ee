// Latitudes and longitudes that changed places: what is no latitude and would be a
// longitude, beside what would be a latitude. They are read the other way round, so that
// nothing else is said of them, and told in one finding, as they mostly have one cause.
// Where neither is beyond 90 degrees nor has a letter, only the rest of the site gives them
// away: internal/plan/exchanged.go.
package spec

import (
	"fmt"
	"slices"
	"strings"

	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/words"
)

// swap is one pair: what stands where the latitude is due, and where the longitude is.
type swap struct {
	latitude, longitude *node
	of                  diag.Subject
}

// maxSwapEdits is how many pairs are offered to be exchanged at once.
const maxSwapEdits = 500

// isSwapped reports whether two values are a longitude and a latitude in each other's place.
func isSwapped(latitude, longitude *node) bool {
	if latitude == nil || longitude == nil || latitude.kind != scalarKind || longitude.kind != scalarKind {
		return false
	}
	if _, err := geodesy.ParseLatitude(latitude.text); err == nil {
		return false
	}
	_, noLongitude := geodesy.ParseLongitude(latitude.text)
	_, noLatitude := geodesy.ParseLatitude(longitude.text)
	return noLongitude == nil && noLatitude == nil
}

// unswapped notes a pair that changed places, and gives the block with the values as they
// were meant.
func (d *decoder) unswapped(n *node, path string) *node {
	if n.kind != mappingKind {
		return n
	}
	at := map[string]int{}
	for i, e := range n.entries {
		at[e.key.text] = i
	}
	i, latitude := at["latitude"]
	k, longitude := at["longitude"]
	if !latitude || !longitude || !isSwapped(n.entries[i].value, n.entries[k].value) {
		return n
	}
	d.noteSwap(n.entries[i].value, n.entries[k].value, path)
	exchanged := *n
	exchanged.entries = append([]entry{}, n.entries...)
	exchanged.entries[i].value, exchanged.entries[k].value = n.entries[k].value, n.entries[i].value
	return &exchanged
}

func (d *decoder) noteSwap(latitude, longitude *node, path string) {
	of := keyOf(path)
	if name, isMark := strings.CutPrefix(path, "marks."); isMark {
		of = diag.The(diag.Mark, name)
	}
	d.swapped = append(d.swapped, swap{latitude, longitude, of})
}

// located is a block with a latitude and a longitude.
func located(keys []key) value {
	v := block(keys)
	read := v.read
	v.read = func(d *decoder, n *node, path string) { read(d, d.unswapped(n, path), path) }
	return v
}

// alike is how near two places of one site are, in degrees: far more than any site has.
const alike = geodesy.Degree

// isSure reports whether a pair can have changed places and nothing else be wrong: its
// letters say so, or the other way round it lies at the site, where an exchanged digit
// would hardly put it.
func (s swap) isSure(to *Mission) bool {
	if s.lettered() {
		return true
	}
	latitude, _ := geodesy.ParseLatitude(s.longitude.text) // both were read before
	longitude, _ := geodesy.ParseLongitude(s.latitude.text)
	near := func(a, b geodesy.Coordinate) bool {
		difference := a.Value - b.Value
		return difference < alike && difference > -alike
	}
	if s.of.Kind == diag.Mark {
		return near(latitude, to.Site.Origin.Latitude) && near(longitude, to.Site.Origin.Longitude)
	}
	return slices.ContainsFunc(to.Marks, func(m Mark) bool { return near(latitude, m.Latitude) && near(longitude, m.Longitude) })
}

// path is one of its two keys.
func (s swap) path(key string) diag.Subject {
	if s.of.Kind == diag.Mark {
		return keyOf(join("marks."+s.of.Name, key))
	}
	return keyOf(join(s.of.Name, key))
}

func (s swap) lettered() bool {
	return strings.ContainsAny(s.latitude.text, "EW") && strings.ContainsAny(s.longitude.text, "NS")
}

// tellSwapped tells of all of them at once, and of those that only may have changed places
// that the latitude is none: where these lie is not known. The others lie where they were
// read.
func (d *decoder) tellSwapped(to *Mission) {
	var sure []swap
	for _, s := range d.swapped {
		if s.isSure(to) {
			sure = append(sure, s)
			continue
		}
		_, err := geodesy.ParseLatitude(s.latitude.text)
		d.fail(ruleBadCoordinate, s.latitude.at, "", "%s: %v", s.path("latitude"), err)
		d.doubt(s.path("latitude").Name, s.path("longitude").Name) // read the other way round, and not meant so
	}
	if len(sure) == 0 {
		return
	}
	first := sure[0]
	var things []diag.Subject
	var edits []diag.Edit
	var others []diag.Related
	lettered := true
	for i, s := range sure {
		things = append(things, s.of)
		lettered = lettered && s.lettered()
		if i > 0 && i <= maxUses {
			others = append(others, diag.Related{At: s.latitude.at, Message: "and here"})
		}
		if i < maxSwapEdits {
			edits = append(edits, diag.Replace(s.latitude.at, d.notation(s.latitude.at, s.longitude.text)), diag.Replace(s.longitude.at, d.notation(s.longitude.at, s.latitude.text)))
		}
	}
	what := diag.Say("%s", first.of)
	if n := len(sure); n > 1 {
		what = diag.Say("%d places (%s)", n, diag.Names(things, ", "))
	}
	remedy := fmt.Sprintf("write latitude: %s and longitude: %s", first.longitude.text, first.latitude.text)
	does := remedy
	if len(sure) > 1 {
		remedy = "write them the other way round: latitude is north or south of the equator"
		does = "exchange " + words.Plural(len(sure), "pair")
	}
	f := d.fail(ruleBadCoordinate, first.latitude.at, remedy, "latitude and longitude of %s are in each other's place: %s can be no latitude", what, quote(first.latitude.text))
	f.About, f.Related = things, others
	if len(sure) <= maxSwapEdits {
		d.offer(f, lettered, does, edits...)
	}
	for _, s := range sure {
		d.doubt(s.path("latitude").Name, s.path("longitude").Name)
	}
}
