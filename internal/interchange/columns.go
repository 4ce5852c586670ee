// What the columns of a table are, by the names that programs and surveyors give them (from
// memory, in a few languages). A name that may mean two things is taken for what its
// numbers say, and told; where they do not say it, it is refused.
package interchange

import (
	"slices"
	"strings"

	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"

	"unicode"
)

// role is what a column holds.
type role uint8

const (
	noRole role = iota
	nameRole
	latitudeRole
	longitudeRole
	eastRole
	northRole
	xRole // longitude or easting, or in some countries northing
	yRole
	heightRole // does not say above what
	ellipsoidRole
	seaRole
	uncertaintyRole
)

func (r role) String() string {
	return [...]string{"nothing", "name", "latitude", "longitude", "easting", "northing", "x", "y", "height", "height above the ellipsoid", "height above the sea", "uncertainty"}[r]
}

func spellings(r role) []string {
	switch r {
	case nameRole:
		return []string{"name", "id", "point", "pointname", "pointid", "pt", "ptid", "mark", "station", "label", "number", "no", "nr", "num", "title", "punkt", "punktname", "punktnummer", "pnr", "bezeichnung", "nom", "numero", "nombre", "nome", "punto", "waypoint", "landmark"}
	case latitudeRole:
		return []string{"latitude", "lat", "breite", "breitengrad", "geobreite", "latitud", "latitudine", "phi"}
	case longitudeRole:
		return []string{"longitude", "lon", "long", "lng", "lange", "laenge", "langengrad", "laengengrad", "geolange", "geolaenge", "longitud", "longitudine", "lambda"}
	case eastRole:
		return []string{"easting", "east", "eastings", "e", "utme", "utmeast", "utmeasting", "rechtswert", "ost", "este", "est", "xutm", "utmx"}
	case northRole:
		return []string{"northing", "north", "northings", "n", "utmn", "utmnorth", "utmnorthing", "hochwert", "nord", "norte", "yutm", "utmy"}
	case xRole:
		return []string{"x", "xcoord", "coordx", "xcoordinate"}
	case yRole:
		return []string{"y", "ycoord", "coordy", "ycoordinate"}
	case heightRole:
		return []string{"height", "h", "z", "hohe", "hoehe", "hauteur", "altura", "quota", "zcoord"}
	case ellipsoidRole:
		return []string{"ellipsoidalheight", "heightellipsoidal", "ellipsoidheight", "ellheight", "hell", "ellh", "hae", "heightaboveellipsoid", "ellipsoidischehohe", "ellipsoidischehoehe"}
	case seaRole:
		return []string{"elevation", "elev", "ele", "altitude", "alt", "msl", "amsl", "heightmsl", "orthometricheight", "orthoheight", "orthometric", "elevationmsl", "altitudine", "altitud"}
	case uncertaintyRole:
		return []string{"uncertainty"}
	}
	return nil
}

// lengthUnits and angleUnits are what is written behind the name of a column without brackets.
func lengthUnits() []string { return []string{"m", "metres", "meters"} }

func angleUnits() []string { return []string{"deg", "dd", "degrees", "decimal", "wgs84"} }

// columnName is the name of a column in one way to write it, and what the name says of the
// numbers beside it: of "Lat. (deg)", "LAT_DD" and "Länge [°]" it is "lat" with "deg", "lat"
// with "dd" and "lange" with nothing, of "Latitude (S)" "latitude" with "s".
func columnName(text string) (name, beside string) {
	plain, _, err := transform.String(transform.Chain(norm.NFD, runes.Remove(runes.In(unicode.Mn)), norm.NFC), text)
	if err != nil {
		plain = text
	}
	plain = strings.ToLower(plain)
	if i := strings.IndexAny(plain, "([/°"); i > 0 {
		plain, beside = plain[:i], letters(plain[i:])
	}
	parts := strings.FieldsFunc(plain, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune("-_.", r) })
	for last := len(parts) - 1; last > 0 && slices.Contains(slices.Concat(lengthUnits(), angleUnits()), parts[last]); last-- {
		parts, beside = parts[:last], parts[last]+beside
	}
	return strings.Join(parts, ""), beside
}

// letters are the letters and digits of a text.
func letters(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return -1
	}, strings.ToLower(text))
}

// otherUnit is the unit of length that the name of a column says, if it is not the metre.
func otherUnit(text string) string {
	plain := strings.ToLower(text)
	if strings.Contains(plain, "(in)") || strings.Contains(plain, "[in]") {
		return "inches"
	}
	for _, word := range strings.FieldsFunc(plain, func(r rune) bool { return !unicode.IsLetter(r) }) {
		switch word {
		case "ft", "foot", "feet", "usft", "ftus", "sft", "fuss":
			return "feet"
		case "inch", "inches":
			return "inches"
		case "mm", "cm", "dm", "km", "yd", "yards", "miles":
			return word
		}
	}
	return ""
}

// degrees reports whether what the name of a column says beside it leaves its numbers degrees,
// north and east of zero: not where it says minutes, metres, south or what is not known here.
func (r role) degrees(beside string) bool {
	for _, word := range []string{"wgs84", "wgs", "epsg4326", "decimal", "dezimal", "degrees", "degree", "deg", "dd", "dec"} {
		beside = strings.ReplaceAll(beside, word, "")
	}
	if r == latitudeRole {
		return slices.Contains([]string{"", "n", "north", "ns"}, beside)
	}
	return slices.Contains([]string{"", "e", "east", "ew"}, beside)
}

// partOfPlace reports whether a column that is not read looks like a part of a coordinate: its
// minutes, or on which side of zero it is. Beside says that it stands next to one.
func partOfPlace(text string, beside bool) bool {
	plain := letters(text)
	rest, ofOne := plain, false
	for _, name := range slices.Concat(spellings(latitudeRole), spellings(longitudeRole)) {
		if after, is := strings.CutPrefix(plain, name); is && len(after) < len(rest) {
			rest, ofOne = after, true
		}
	}
	switch rest {
	case "ns", "ew", "min", "mins", "minute", "minutes", "minuten", "sec", "secs", "second", "seconds", "sekunden", "hem", "hemi", "hemisphere", "dir", "direction", "ref", "sign", "quadrant":
		return ofOne || beside
	case "m", "s", "n", "w", "e", "h":
		return ofOne
	}
	return false
}

func roleOf(text string) role {
	name, beside := columnName(text)
	if whole := name + beside; whole == "ns" || whole == "ew" { // "N/S"
		return noRole
	}
	for r := nameRole; r <= uncertaintyRole; r++ {
		if slices.Contains(spellings(r), name) {
			return r
		}
	}
	return noRole
}
