package interchange

import (
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"merestone/internal/geodesy"
	"merestone/internal/quantity"
)

func feature(properties, geometry string) string {
	return `{"type": "Feature", "properties": ` + properties + `, "geometry": ` + geometry + `}`
}

func gpx(inner string) string {
	return `<?xml version="1.0" encoding="UTF-8"?><gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="x">` + inner + `</gpx>`
}

func kml(inner string) string {
	return `<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>` + inner + `</Document></kml>`
}

func zone(t require.TestingT, text string) *geodesy.Zone {
	z, err := geodesy.ParseZone(text)
	require.NoError(t, err)
	return &z
}

func length(mm int64) *quantity.Length {
	l := quantity.Length(mm) * quantity.Millimetre
	return &l
}

// What comes of a file: the lines of the mission, and words that the notes must have.
func TestWhatIsTaken(t *testing.T) {
	const square = `{"type": "Polygon", "coordinates": [[[6,45],[6.1,45],[6.1,45.1],[6,45]]]}`
	for name, c := range map[string]struct {
		text  string
		opt   Options
		as    Use
		yaml  string
		notes []string
	}{
		"a marks_file": {
			text: "# surveyed\nname,latitude,longitude,height,uncertainty\nA,45.30120000,6.12340000,412.60 m,2 cm\nB,45°18'04.4412\"N,6°07'24.2400\"E,,\n",
			yaml: "marks:\n  A: {latitude: 45.30120000, longitude: 6.12340000, height: 412.6 m, uncertainty: 0.02 m}\n  B: {latitude: 45°18'04.4412\"N, longitude: 6°07'24.2400\"E}\n",
		},
		"semicolons, decimal commas, blank columns, two languages": {
			text:  "Punkt;;Breite;Länge;Höhe\nGroße Eiche;;45,30120;6,12340;412,6\n\n;;45,30121;6,12341;\n",
			yaml:  "marks:\n  Grosse Eiche: {latitude: 45.30120, longitude: 6.12340}\n  P1: {latitude: 45.30121, longitude: 6.12341}\n",
			notes: []string{"separated by semicolons", "decimals have commas", "1 height of which the file does not say above what: left out", "does not say the datum"},
		},
		"tabs, ellipsoidal heights by the name of the column": {
			text:  "ID\tLat. (deg)\tLong. (deg)\tEllipsoidal height [m]\nwhile\t45.3\t6.1\t412.6\n",
			yaml:  "marks:\n  while mark: {latitude: 45.3, longitude: 6.1, height: 412.6 m}\n",
			notes: []string{"separated by tabs", "1 height above the ellipsoid"},
		},
		"blanks between columns, degrees and minutes packed": {
			text: "id lat lon\na 4518.0741N 00607.4041E\n",
			yaml: "marks:\n  a: {latitude: 45°18.0741'N, longitude: 6°07.4041'E}\n", notes: []string{"2 coordinates in another notation of degrees"},
		},
		"lines that end in a carriage return alone": {
			text: "name,lat,lon\rA,45.3,6.1\r",
			yaml: "marks:\n  A: {latitude: 45.3, longitude: 6.1}\n",
		},
		"what is said beside the names of columns, and leaves numbers degrees": {
			text: "name,Latitude (N/S) [decimal degrees],lon °E WGS84,hae (mm),time,min\nA,-45.3,6.1,412600,08,15\n",
			yaml: "marks:\n  A: {latitude: -45.3, longitude: 6.1}\n", notes: []string{`columns that are not read: "hae (mm)" (in mm), "time", "min"`},
		},
		"a column that is said not to be of degrees, written in full": {
			text: "name,lat (dms),lon (dms)\nA,45°18'04.4412\"S,6°07'24.2400\"W\n",
			yaml: "marks:\n  A: {latitude: 45°18'04.4412\"S, longitude: 6°07'24.2400\"W}\n",
		},
		"x and y that are no metres": {
			text: "name;x;y\nA;6°07'24\"E;45°18'04\"N\n",
			yaml: "marks:\n  A: {latitude: 45°18'04\"N, longitude: 6°07'24\"E}\n",
		},
		"x and y that say degrees": {
			text: "name;x [deg];y (°)\nA;6.123;45.301\n",
			yaml: "marks:\n  A: {latitude: 45.301, longitude: 6.123}\n",
		},
		"a quoted field with a separator and a quotation mark in it": {
			text: "name,lat,lon\n\"the \"\"old\"\", well\",45.3,6.1\n",
			yaml: "marks:\n  the old well: {latitude: 45.3, longitude: 6.1}\n",
		},
		"UTM, by x and y that are the other way round": {
			text: "nr,x,y,elevation\n1,5017234.123,500123.456,365.4\n", opt: Options{Zone: zone(t, "33N"), Separation: length(47_200)},
			yaml:  "marks:\n  1: {latitude: 45.308611189, longitude: 15.001574874, height: 412.6 m}\n",
			notes: []string{`"x" is the northing and "y" the easting`, "zone 33, northern hemisphere", "1 point worked out from the UTM grid", "1 height above the sea, as you say"},
		},
		"names that become one": {
			text: "name,lat,lon\nGate 1,45,6\ngate-1,45.1,6\nGATE_1,45.2,6\n*,45.3,6\n" + strings.Repeat("n", 50) + ",45.4,6\n",
			yaml: "marks:\n  Gate 1: {latitude: 45, longitude: 6}\n  gate-1-2: {latitude: 45.1, longitude: 6}\n  GATE_1-3: {latitude: 45.2, longitude: 6}\n" +
				"  P1: {latitude: 45.3, longitude: 6}\n  " + strings.Repeat("n", 40) + ": {latitude: 45.4, longitude: 6}\n",
		},
		"GeoJSON: a point with a height, a ring with a corner on it": {
			text: `{"type": "FeatureCollection", "features": [` + feature(`{"name": "gate"}`, `{"coordinates": [6, 45, 412.6], "type": "Point"}`) + `,` + feature(`null`, square) + `]}`, as: AsBoundary,
			yaml:  "marks:\n  gate: {latitude: 45, longitude: 6, height: 412.6 m}\n  F1: {latitude: 45, longitude: 6.1}\n  F2: {latitude: 45.1, longitude: 6.1}\ngeofence:\n  boundary: [gate, F1, F2]\n",
			notes: []string{"1 height above the ellipsoid"},
		},
		"GeoJSON: exponents, more than nine decimals, ties": {
			text: `{"type": "MultiPoint", "coordinates": [[1e-7, 4.5e1], [6.0000000005, 45.0000000015], [6.00000000050000000000000000000000000000000000000000000001, 0.1e1]]}`,
			yaml: "marks:\n  P1: {latitude: 45, longitude: 0.0000001}\n  P2: {latitude: 45.000000002, longitude: 6.000000000}\n  P3: {latitude: 1, longitude: 6.000000001}\n", notes: []string{"3 coordinates with more than nine decimals of a degree: rounded to nine, half to even"},
		},
		"GeoJSON: a hole of a boundary": {
			text: `{"type": "Polygon", "coordinates": [[[6,45],[7,45],[7,46],[6,45]],[[6.5,45.1],[6.6,45.1],[6.6,45.2],[6.5,45.1]]], "foreign": {"a": [[[]]]}}`, as: AsBoundary,
			yaml: "marks:\n  F1: {latitude: 45, longitude: 6}\n  F2: {latitude: 45, longitude: 7}\n  F3: {latitude: 46, longitude: 7}\n  obstacle1-1: {latitude: 45.1, longitude: 6.5}\n  obstacle1-2: {latitude: 45.1, longitude: 6.6}\n  obstacle1-3: {latitude: 45.2, longitude: 6.6}\n" +
				"geofence:\n  boundary: [F1, F2, F3]\n  obstacles:\n    - {name: obstacle1, ring: [obstacle1-1, obstacle1-2, obstacle1-3]}\n",
		},
		"GeoJSON: a closed line is a closed route, and the frame of old": {
			text: `{"type": "LineString", "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}, "coordinates": [[6,45],[7,45],[7,46],[6,45]]}`, as: AsRoute,
			yaml: "marks:\n  R1: {latitude: 45, longitude: 6}\n  R2: {latitude: 45, longitude: 7}\n  R3: {latitude: 46, longitude: 7}\nroute:\n  closed: true\n  waypoints: [R1, R2, R3]\n", notes: []string{"the frame is named"},
		},
		"GPX: a route is the route; heights are above the sea": {
			text: gpx(`<wpt lat="45.30" lon="6.1"><ele>365.4</ele><name>A</name></wpt><rte><name>r</name><rtept lat="45.30" lon="6.1"><name>A</name></rtept><rtept lat="45.31" lon="6.1"><name>B</name></rtept></rte>`),
			yaml: "marks:\n  A: {latitude: 45.30, longitude: 6.1}\n  B: {latitude: 45.31, longitude: 6.1}\nroute:\n  waypoints: [A, B]\n", notes: []string{"1 height above the sea, where a mission's are above the ellipsoid: left out"},
		},
		"GPX: with the height of the geoid beside": {
			text: gpx(`<wpt lat="45.3" lon="6.1"><ele>365.4</ele><geoidheight>47.2</geoidheight></wpt>`),
			yaml: "marks:\n  P1: {latitude: 45.3, longitude: 6.1, height: 412.6 m}\n", notes: []string{"raised by the separation that the file has"},
		},
		"GPX: a track that stands still at first, as an obstacle": {
			text: gpx(`<trk><name>pond</name><trkseg><trkpt lat="45" lon="6"/><trkpt lat="45" lon="6"/><trkpt lat="45" lon="6.1"/><trkpt lat="45.1" lon="6"/></trkseg></trk>`), as: AsObstacle,
			yaml:  "marks:\n  pond1: {latitude: 45, longitude: 6}\n  pond2: {latitude: 45, longitude: 6.1}\n  pond3: {latitude: 45.1, longitude: 6}\ngeofence:\n  obstacles:\n    - {name: pond, ring: [pond1, pond2, pond3]}\n",
			notes: []string{`1 point of "pond" at the place of the one before`, "closed by a straight edge"},
		},
		"GPX: what others call name and ele": {
			text: gpx(`<wpt lat="45.3" lon="6.1"><name>A</name><x:name xmlns:x="u">B</x:name><x:ele xmlns:x="u">9</x:ele></wpt><x:wpt xmlns:x="u" lat="1" lon="2"/>`), opt: Options{Ellipsoidal: true},
			yaml: "marks:\n  A: {latitude: 45.3, longitude: 6.1}\n",
		},
		"points that are to be a boundary": {
			text: "name,lat,lon\nA,45.3,6.1\n", as: AsBoundary,
			yaml: "marks:\n  A: {latitude: 45.3, longitude: 6.1}\n", notes: []string{"no line or polygon in it that could be the boundary"},
		},
		"KML: altitudes on the ground, and above the sea": {
			text: kml(`<Folder><Placemark><name>A &amp; B</name><Point><coordinates>6.1,45.3,0</coordinates></Point></Placemark><Placemark><Point><altitudeMode>absolute</altitudeMode><coordinates>6.2,45.3,365.4</coordinates></Point></Placemark></Folder><NetworkLink/>`),
			yaml: "marks:\n  A B: {latitude: 45.3, longitude: 6.1}\n  P1: {latitude: 45.3, longitude: 6.2}\n", notes: []string{"1 height above the sea", "1 link to another file: not followed"},
		},
		"KML: a polygon as marks": {
			text: kml("<Placemark><name>f</name><Polygon><outerBoundaryIs><LinearRing><coordinates>\n6,45 6.1,45\n6.1,45.1 6,45\n</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>"), as: AsMarks,
			yaml: "marks:\n  P1: {latitude: 45, longitude: 6}\n  P2: {latitude: 45, longitude: 6.1}\n  P3: {latitude: 45.1, longitude: 6.1}\n",
		},
		"the other way round, as is said": {
			text: `{"type": "Point", "coordinates": [45.3, 6.1]}`, opt: Options{Swapped: true},
			yaml: "marks:\n  P1: {latitude: 45.3, longitude: 6.1}\n", notes: []string{"1 point read the other way round"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			data, err := Read([]byte(c.text), c.opt)
			require.NoError(t, err)
			taken, err := Take(data, Request{As: c.as})
			require.NoError(t, err)
			assert.Equal(t, c.yaml, taken.YAML(nil))
			notes := strings.Join(append(data.Notes, taken.Notes...), "\n")
			for _, words := range c.notes {
				assert.Contains(t, notes, words)
			}
		})
	}
}

// Errors are one line, with the line of the file.
func TestWhatIsRefused(t *testing.T) {
	many := strings.Repeat("[", 100_000)
	deep := strings.Repeat("<Folder>", 100_000)
	for name, c := range map[string]struct {
		text string
		opt  Options
		want string
	}{
		"nothing":                              {"", Options{}, "it is empty"},
		"an archive":                           {"PK\x03\x04..", Options{}, "it is an archive"},
		"UTF-16":                               {"\xff\xfen\x00", Options{}, "UTF-16"},
		"zeros":                                {"name,lat\n\x00", Options{}, "line 2: there is a byte of zero"},
		"Latin-1":                              {"name,lat,lon\nGr\xfcn,45,6\n", Options{}, "line 2: there is a byte that is not UTF-8"},
		"another XML":                          {"<html></html>", Options{}, `outermost element is "html"`},
		"no header":                            {"A,45.3,6.1\nB,45.3,6.2\n", Options{}, "line 1: the first line does not name the columns"},
		"no rows":                              {"name,lat,lon\n", Options{}, "no line beneath its header"},
		"no place":                             {"name,height\nA,4\n", Options{}, "line 1: there are no two columns for a place"},
		"two columns for one":                  {"name,lat,latitude,lon\nA,4,4,4\n", Options{}, `line 1: the columns "lat" and "latitude" both look like the latitude`},
		"a field too few":                      {"name,lat,lon\nA,45\n", Options{}, "line 2: there are 2 fields, and the header has 3"},
		"decimals cut off by a comma":          {"name,lat,lon\nA,45,3010,6,1230\n", Options{}, "line 2: there are 5 fields, and the header has 3"},
		"a decimal comma in a table of commas": {"name,lat,lon\nA,45,3,6,1\n", Options{}, "line 2: there are 5 fields, and the header has 3"},
		"a quotation mark not closed":          {"name,lat,lon\n\"A,45,6\nB,45,6\n", Options{}, "line 2: a field runs over the end of the line"},
		"commas and points":                    {"name;lat;lon\nA;45,3;6.1\nB;45.3;6.1\n", Options{}, "decimals have commas in line 2 and points in line 2"},
		"thousands":                            {"name;e;n\nA;500,123.4;5017234.1\n", Options{Zone: zone(t, "33N")}, "line 2: \"500,123.4\" has a comma that may separate thousands"},
		"a grid":                               {"name,easting,northing\nA,500123.4,5017234.1\n", Options{}, "look like metres of a map grid: if they are UTM on WGS 84, say the zone, as --utm 33N"},
		"a frame of its own":                   {"name,east,north\nA,12.3,4.5\n", Options{}, "metres of a map grid or of a frame of their own"},
		"a grid called degrees":                {"name,lat,lon\nA,5017234.1,500123.4\n", Options{}, "are no degrees"},
		"a zone for degrees":                   {"name,lat,lon\nA,45.3,6.1\n", Options{Zone: zone(t, "33N")}, "a zone of UTM is said, but the numbers"},
		"a grid in feet":                       {"name,easting (ft),northing (ft)\nA,1,2\n", Options{}, "is in feet"},
		"a grid in kilometres":                 {"name,easting (km),northing (km)\nA,500.1,5017.2\n", Options{Zone: zone(t, "33N")}, "is in km"},
		"south in the name of a column":        {"name,Latitude (S),Longitude (W)\nA,45.3,6.1\n", Options{}, `line 2: the column "Latitude (S)" says "s" beside its name`},
		"gons":                                 {"name,lat,lon (gon)\nA,45.3,6.1\n", Options{}, `the column "lon (gon)" says "gon"`},
		"degrees and seconds as one number":    {"name,lat (dms),lon (dms)\nA,45.1804,6.0724\n", Options{}, `says "dms" beside its name`},
		"metres of a frame of its own":         {"name,x (m),y (m)\nA,12.3,4.5\n", Options{}, `the column "y (m)" says "m"`},
		"minutes that are called metres":       {"name,lat d,lat m,lon d,lon m\nA,45,18.3,6,7.2\n", Options{}, `the column "lat m" says "m"`},
		"minutes in columns of their own":      {"name,lat_deg,lat_min,lon_deg,lon_min\nA,45,18.3,6,7.2\n", Options{}, `the column "lat_min" looks like a part of a coordinate`},
		"minutes beside":                       {"name,lat,min,sec,lon,min,sec\nA,45,18,4,6,7,24\n", Options{}, `the column "min" looks like a part`},
		"a column for north and south":         {"name,lat,N/S,lon,E/W\nA,45.3,S,6.1,W\n", Options{}, `the column "N/S" looks like a part`},
		"south in a column without a name":     {"name,lat,,lon,\nA,45.3,S,6.1,W\n", Options{}, `the column "" looks like a part`},
		"hemispheres behind both":              {"name,lat,lon,lat_ref,lon_ref\nA,45.3,6.1,S,W\n", Options{}, `the column "lat_ref" looks like a part`},
		"easting for northing":                 {"name,easting,northing\nA,5017234.1,500123.4\n", Options{Zone: zone(t, "33N")}, "5017234.1 can be no easting"},
		"x and y that may be either":           {"name,x,y\nA,500123.4,600123.4\n", Options{Zone: zone(t, "33N")}, "may each be the easting or the northing"},
		"not a number":                         {"name,lat,lon\nA,NaN,6.1\n", Options{}, `line 2: latitude "NaN"`},
		"latitude for longitude":               {"name,lat,lon\nA,145.3,6.1\n", Options{}, "line 2: latitude 145.3 can be none, and longitude 6.1 could be one: where they are in each other's place, say --swap"},
		"hemispheres of the other axis":        {"name,lat,lon\na,4518.0741N,00607.4N\n", Options{}, "line 2: longitude"},
		"an uncertainty without a unit":        {"name,lat,lon,uncertainty\nA,45,6,2\n", Options{}, "line 2: uncertainty: 2 has no unit"},
		"x and y that may be metres":           {"name,x,y\nA,12.345,45.678\n", Options{}, "line 2: 12.345 and 45.678 in the columns \"x\" and \"y\" may be degrees, or metres of a frame of their own"},
		"decimals that a comma cuts off":       {"name,lat,lon,h,code\nA,45,00012,6,1\n", Options{}, "line 2: 45 and 00012 look like the two parts of one number"},
		"a separation on top of an ellipsoid":  {"name,lat,lon,hae\nA,45.1,6.1,412\n", Options{Separation: length(47_200)}, "line 2: the column \"hae\" says that heights are above the ellipsoid"},
		"a height of another planet":           {"name,lat,lon,hae\nA,45,6,12000\n", Options{}, "line 2: the height 12000 m above the ellipsoid is not from -1000 to 10000 m"},
		"JSON that ends":                       {`{"type": "Point", "coordinates": [6,`, Options{}, "line 1: the JSON ends too early"},
		"no JSON":                              {"{\n\"type\" \"Point\"}", Options{}, "line 2: it is not JSON"},
		"JSON of another kind":                 {`{"a": 1}`, Options{}, `has no "type"`},
		"a type of no geometry":                {`{"type": "Circle", "coordinates": [6, 45]}`, Options{}, `no geometry of the type "Circle"`},
		"a list":                               {`[1, 2]`, Options{}, "no object of GeoJSON"},
		"two objects":                          {`{"type": "Point", "coordinates": [6, 45]}{}`, Options{}, "something behind the end"},
		"deep JSON":                            {`{"type": "Point", "coordinates": ` + many, Options{}, "more than 64 objects and lists within each other"},
		"deep JSON elsewhere":                  {`{"type": "Point", "x": ` + many, Options{}, "more than 64 objects and lists within each other"},
		"JSON of infinite numbers":             {`{"type": "Point", "coordinates": [1e400, 45]}`, Options{}, `longitude "1e400" is no decimal number`},
		"JSON's words for none":                {`{"type": "Point", "coordinates": [NaN, 45]}`, Options{}, "it is not JSON"},
		"beyond the poles":                     {`{"type": "Point", "coordinates": [6, 90.000000001]}`, Options{}, "can be none"},
		"beyond the other meridian":            {`{"type": "Point", "coordinates": [180.000000001, 45]}`, Options{}, "a longitude lies from -180 to 180"},
		"a member twice":                       {`{"type": "Point", "coordinates": [6, 45], "coordinates": [7, 45]}`, Options{}, `"coordinates" is there twice`},
		"another frame":                        {`{"type": "Point", "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::3857"}}, "coordinates": [6, 45]}`, Options{}, "and not WGS 84"},
		"an open ring":                         {`{"type": "Polygon", "coordinates": [[[6,45],[7,45],[7,46],[6,46]]]}`, Options{}, "the first once more at the end"},
		"a position of one number":             {`{"type": "Point", "coordinates": [6]}`, Options{}, "a position is a list of two numbers"},
		"a list too few":                       {`{"type": "LineString", "coordinates": [6, 45]}`, Options{}, "a position is a list of two numbers"},
		"a list too many":                      {`{"type": "Point", "coordinates": [[6, 45]]}`, Options{}, "a position is a list of two numbers"},
		"a document type":                      {"<?xml version=\"1.0\"?>\n<!DOCTYPE gpx [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;\">]><gpx>&b;</gpx>", Options{}, "line 2: it has a document type"},
		"an entity of nobody":                  {gpx("<wpt lat=\"45\" lon=\"6\"><name>&b;</name></wpt>"), Options{}, "line 1: it is not well-formed XML: invalid character entity &b;"},
		"an attribute twice":                   {gpx(`<wpt lat="45" lat="46" lon="6"/>`), Options{}, `not well-formed XML: the attribute "lat" is there twice`},
		"deep XML":                             {kml(deep), Options{}, "more than 64 elements within each other"},
		"another encoding":                     {`<?xml version="1.0" encoding="ISO-8859-1"?><gpx/>`, Options{}, "the encoding is ISO-8859-1"},
		"XML that ends":                        {"<gpx version=\"1.1\">\n<wpt lat=\"45\" lon=\"6\">", Options{}, "line 2: it is not well-formed XML"},
		"XML that goes on":                     {gpx("") + "<gpx/>", Options{}, "something behind the end"},
		"GPX of tomorrow":                      {`<gpx version="2.0"/>`, Options{}, `GPX of version "2.0"`},
		"GPX without a place":                  {gpx(`<wpt lat="45"/>`), Options{}, `longitude "" is no decimal number`},
		"infinite GPX":                         {gpx(`<wpt lat="INF" lon="6"/>`), Options{}, `latitude "INF" is no decimal number`},
		"spaces behind commas":                 {kml("<Placemark><LineString><coordinates>\n6, 45 7, 46</coordinates></LineString></Placemark>"), Options{}, `line 2: position "6," is not longitude,latitude`},
		"a track in KML":                       {kml(`<Placemark><Track/></Placemark>`), Options{}, "there is no reading of Track here"},
		"nothing in it":                        {kml(`<Placemark><name>a</name></Placemark>`), Options{}, "no point, line or polygon in it"},
		"a log without fixes":                  {"$GPGSV,1,1,00*79\r\n", Options{}, "none of its 0 fixes is a fixed solution"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Read([]byte(c.text), c.opt)
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
			assert.NotContains(t, err.Error(), "\n")
			assert.Less(t, len(err.Error()), 600)
		})
	}
	_, err := Read(make([]byte, MaxBytes+1), Options{})
	assert.ErrorContains(t, err, "larger than 64 MB")
	_, err = Read([]byte(`{"type": "MultiPoint", "coordinates": [`+strings.Repeat("[6,45],", maxPoints)+"[6,45]]}"), Options{})
	assert.ErrorContains(t, err, "more than 250000 points")
}

// What does not say what it is, or is too much of it, asks for a choice.
func TestChoices(t *testing.T) {
	line := `{"type": "LineString", "coordinates": [[6,45],[7,45],[7,46]]}`
	two := `{"type": "FeatureCollection", "features": [` + feature(`{"name": "a"}`, line) + "," + feature(`{"name": "b"}`, line) + `]}`
	for _, c := range []struct {
		text, only string
		as         Use
		want       string
	}{
		{two, "", "", `say it with --as, and with --only NAME which one is meant: line "a" (line 1, 3 points), line "b" (line 1, 3 points)`},
		{two, "", AsRoute, "there are 2 lines for one route"},
		{two, "", AsBoundary, "there are 2 rings for one boundary"},
		{two, "c", AsRoute, `there is no line or polygon called "c"`},
		{two, "b", AsRoute, ""},
		{two, "", AsObstacle, ""},
		{`{"type": "LineString", "coordinates": [[6,45],[7,45]]}`, "", AsBoundary, "a ring needs three corners"},
		{`{"type": "LineString", "coordinates": [[6,45],[6,45]]}`, "", AsRoute, "all points of \"\" are one place"},
	} {
		data, err := Read([]byte(c.text), Options{})
		require.NoError(t, err)
		_, err = Take(data, Request{As: c.as, Only: c.only})
		if c.want == "" {
			assert.NoError(t, err)
			continue
		}
		assert.ErrorContains(t, err, c.want)
	}
}

// Marks that the mission has are not entered again, and their names not given again.
func TestWhatTheMissionHas(t *testing.T) {
	data, err := Read([]byte("name,lat,lon\nA,45,6\nB,45,7\nC,45,8\n"), Options{})
	require.NoError(t, err)
	has := []Known{{"A", true, 45 * geodesy.Degree, 6 * geodesy.Degree, false}, {"B", true, 45 * geodesy.Degree, 6 * geodesy.Degree, false}, {"C", false, 0, 0, false}}
	taken, err := Take(data, Request{Has: has})
	require.NoError(t, err)
	assert.Equal(t, "marks:\n  B-2: {latitude: 45, longitude: 7}\n  C-2: {latitude: 45, longitude: 8}\n", taken.YAML(nil))
	assert.Equal(t, []string{"1 mark that the mission has at the same place: left as they are"}, taken.Notes)
}

// Every number of up to nine decimals is the same number of nanodegrees in every format, and
// every other one the nearest, a tie the even one: by fractions of whole numbers.
func TestDigitsAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.StringMatching(`-?[0-8]?[0-9]\.[0-9]{1,9}([0-9]{0,3}|5|50{1,60}|50{60}1|[0-9]{70})`).Draw(t, "latitude")
		exact, ok := new(big.Rat).SetString(number)
		require.True(t, ok)
		exact.Mul(exact, big.NewRat(int64(geodesy.Degree), 1))
		for _, text := range []string{
			"name,lat,lon\nA," + number + ",6\n",
			`{"type": "Point", "coordinates": [6, ` + number + `]}`,
			gpx(`<wpt lat="` + number + `" lon="6"/>`),
			kml(`<Placemark><Point><coordinates>6,` + number + `</coordinates></Point></Placemark>`),
		} {
			if text[0] == '{' && strings.HasPrefix(strings.TrimPrefix(number, "-"), "0") && number[strings.Index(number, ".")-1:] != strings.TrimPrefix(number, "-") {
				continue // JSON has no zeros in front
			}
			data, err := Read([]byte(text), Options{})
			require.NoError(t, err)
			read := data.Points[0].Latitude.Value
			off := new(big.Rat).Sub(new(big.Rat).SetInt64(int64(read)), exact)
			switch off.Abs(off).Cmp(big.NewRat(1, 2)) {
			case 1:
				t.Fatalf("%s was read as %s", number, read)
			case 0:
				require.Zero(t, read%2, "%s was read as %s", number, read)
			}
			// What is written is what was read.
			again, err := geodesy.ParseLatitude(data.Points[0].Latitude.Decimal())
			require.NoError(t, err)
			require.Equal(t, read, again.Value)
		}
	})
}

func TestPlainNumbers(t *testing.T) {
	for text, want := range map[string]string{
		"1": "1", "+1.50": "1.50", "-0": "-0", "007.1": "7.1", ".5": "0.5", "5.": "5", "1e2": "100", "1.25e1": "12.5", "125e-3": "0.125", "1E-2": "0.01", "-1.5e+1": "-15", "0e40": "0",
	} {
		got, ok := plain(text)
		assert.True(t, ok, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"", ".", "-", "e5", "1e", "1e41", "1e-41", "1e1000", "0x10", "1_000", "1,5", " 1", "NaN", "Inf", "١", strings.Repeat("1", 1_001)} {
		_, ok := plain(text)
		assert.False(t, ok, text)
	}
}
