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

// columnName is the name of a column in one way to write it, without its unit: of
// "Lat. (deg)", "LAT_DD" and "Länge [°]" it is "lat", "lat" and "lange".
func columnName(text string) string {
	plain, _, err := transform.String(transform.Chain(norm.NFD, runes.Remove(runes.In(unicode.Mn)), norm.NFC), text)
	if err != nil {
		plain = text
	}
	plain = strings.ToLower(plain)
	if i := strings.IndexAny(plain, "([/°"); i > 0 {
		plain = plain[:i]
	}
	plain = strings.TrimSpace(strings.NewReplacer("-", " ", "_", " ", ".", " ").Replace(plain))
	for _, unit := range []string{" deg", " dd", " degrees", " decimal", " wgs84", " m", " metres", " meters"} {
		plain = strings.TrimSuffix(plain, unit)
	}
	return strings.ReplaceAll(plain, " ", "")
}

// inFeet reports whether the name of a column says that it is in feet.
func inFeet(text string) bool {
	return slices.ContainsFunc(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) }),
		func(word string) bool {
			return word == "ft" || word == "feet" || word == "usft" || word == "ftus" || word == "sft"
		})
}

func roleOf(text string) role {
	plain := columnName(text)
	for r := nameRole; r <= uncertaintyRole; r++ {
		if slices.Contains(spellings(r), plain) {
			return r
		}
	}
	return noRole
}
