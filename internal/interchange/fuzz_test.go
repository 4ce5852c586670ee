// Files from anywhere: an error is one line of bounded length, and what is taken is a
// mission's: names that it may have, each once, places on the Earth that the lines say again,
// and lists of marks that are there.
package interchange

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"

	"merestone/internal/geodesy"
	"merestone/internal/words"
	"merestone/spec"
)

// written is what another reader of YAML finds in the lines.
type written struct {
	Marks map[string]struct{ Latitude, Longitude, Height string }
	Route struct{ Waypoints []string }
	Fence struct {
		Boundary  []string
		Obstacles []struct {
			Name, Centre string
			Ring         []string
		}
	} `yaml:"geofence"`
}

func readBack(t *testing.T, text string) {
	for _, opt := range []Options{{}, {Swapped: true, Ellipsoidal: true}, {Zone: zone(t, "33N"), Separation: length(47_200)}} {
		data, err := Read([]byte(text), opt)
		if err != nil {
			oneLineOf(t, err)
			continue
		}
		require.LessOrEqual(t, len(data.Points), maxPoints)
		for _, as := range []Use{"", AsBoundary, AsObstacle, AsRoute, AsMarks} {
			taken, err := Take(data, Request{As: as, Has: []Known{{"P1", true, 45 * geodesy.Degree, 6 * geodesy.Degree, false}}})
			if err != nil {
				oneLineOf(t, err)
				continue
			}
			require.NotContains(t, strings.Join(taken.Notes, "")+taken.Extent(), "%!")
			var w written
			require.NoError(t, yaml.Unmarshal([]byte(taken.YAML(nil)), &w), "%s", taken.YAML(nil))
			there, identifiers := map[string]bool{"P1": true}, map[string]bool{"p1": true}
			for _, m := range taken.Marks {
				require.Empty(t, spec.NameFault("mark", m.Name))
				require.False(t, identifiers[words.Identifier(m.Name)], "%q is there twice", m.Name)
				identifiers[words.Identifier(m.Name)], there[m.Name] = true, true
				latitude, err := geodesy.ParseLatitude(w.Marks[m.Name].Latitude)
				require.NoError(t, err)
				longitude, err := geodesy.ParseLongitude(w.Marks[m.Name].Longitude)
				require.NoError(t, err)
				require.Equal(t, m.at(), place{latitude.Value, longitude.Value}, m.Name)
			}
			require.Len(t, w.Marks, len(taken.Marks))
			lists := [][]string{w.Route.Waypoints, w.Fence.Boundary}
			for _, o := range w.Fence.Obstacles {
				require.Empty(t, spec.NameFault("obstacle", o.Name))
				if o.Centre != "" {
					o.Ring = []string{o.Centre}
				}
				lists = append(lists, o.Ring)
			}
			for _, list := range lists {
				for _, name := range list {
					require.True(t, there[name], "%q is nowhere", name)
				}
			}
		}
	}
}

func oneLineOf(t *testing.T, err error) {
	require.NotContains(t, err.Error(), "\n")
	require.NotContains(t, err.Error(), "%!")
	require.Less(t, len(err.Error()), 4_000)
}

func fuzzed(f *testing.F, seeds ...string) {
	for _, seed := range seeds {
		f.Add(seed)
	}
	f.Fuzz(readBack)
}

func FuzzTable(f *testing.F) {
	fuzzed(f, "name,latitude,longitude,height,uncertainty\nA,45.3,6.1,412.60 m,2 cm\n\"B \"\"x\"\"\",45°18'04.4\"N,6.1,,\n",
		"Punkt;Breite;Länge;Höhe\nä;45,3;6,1;412,6\n", "nr,x,y,elev\n1,5017234.123,500123.456,365\n", "id\teasting\tnorthing\n1\t500123\t5017234\n",
		"id lat lon\na 4518.0741N 00607.4E\n", "lat|lon\n-90|180\n0|-180\n", "id,lat,lon\nwhile,1e1,1e-9\nwhile,0.0000000005,1\n,1,1\n", "name,lat,lon\n#,1,1\n\"a\nb\",1,1\n")
}

func FuzzGeoJSON(f *testing.F) {
	ring := `[[6,45],[6.1,45],[6.1,45.1,3],[6,45]]`
	fuzzed(f, `{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"kind":"boundary","name":"a"},"geometry":{"type":"Polygon","coordinates":[`+ring+`,`+ring+`]}},{"type":"Feature","id":1,"properties":null,"geometry":null}]}`,
		`{"type":"GeometryCollection","geometries":[{"type":"MultiPoint","coordinates":[[6,45],[-180,-90,1e-9]]},{"type":"MultiLineString","coordinates":[`+ring+`]}]}`,
		`{"coordinates":[[[[6,45],[7,45],[7,46],[6,45]]]],"type":"MultiPolygon","crs":{"type":"name","properties":{"name":"EPSG:4326"}}}`,
		`{"type":"Point","coordinates":[0.00000000049999999999999999999999999999999999999999999,1e0]}`)
}

func FuzzGPX(f *testing.F) {
	fuzzed(f, gpx(`<wpt lat="45.3" lon="6.1"><ele>3</ele><geoidheight>47.2</geoidheight><name>a</name><type>cut</type></wpt>`),
		gpx(`<rte><name>r</name><rtept lat="45.3" lon="6.1"/><rtept lat="45.4" lon="6.1"/></rte><trk><name>t</name><type>boundary</type><trkseg><trkpt lat="1" lon="1"/><trkpt lat="1" lon="2"/><trkpt lat="2" lon="2"/><trkpt lat="1" lon="1"/></trkseg><trkseg/></trk>`),
		`<gpx version="1.0"><!-- --><?a b?><wpt lat="+.5" lon="-0"><name><![CDATA[<&>]]></name></wpt></gpx>`)
}

func FuzzKML(f *testing.F) {
	ring := "<LinearRing><coordinates>6,45 6.1,45\n6.1,45.1,2 6,45</coordinates></LinearRing>"
	fuzzed(f, kml(`<Folder><Placemark><name>a</name><ExtendedData><Data name="kind"><value>obstacle</value></Data><Data name="radius"><value>3 m</value></Data><Data name="centre"><value>a</value></Data></ExtendedData><Polygon><outerBoundaryIs>`+ring+`</outerBoundaryIs><innerBoundaryIs>`+ring+`</innerBoundaryIs></Polygon></Placemark></Folder>`),
		kml(`<Placemark><MultiGeometry><Point><altitudeMode>absolute</altitudeMode><coordinates>6,45,1e3</coordinates></Point><LineString><coordinates>6,45 7,45</coordinates></LineString>`+ring+`</MultiGeometry></Placemark>`))
}
