package interchange
import ("testing";"fmt")
func TestTry(t *testing.T){
 for _, s := range []string{
 "name,latitude,longitude,height\nA,45.30120000,6.1234,412.6\nB,45°18'04.4412\"N,6.1,\n",
 "Punkt;Breite;Länge;Höhe\nGroße Eiche;45,3012;6,12340000001;412,6\nGroße Eiche;45,3012;6,1234;412,6\n",
 "id easting northing\n1 500123.456 5017234.123\n",
 `{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"name":"a"},"geometry":{"type":"Point","coordinates":[6.1,45.30000000000001,412]}},{"type":"Feature","properties":{"kind":"boundary"},"geometry":{"type":"Polygon","coordinates":[[[6.1,45.30000000000001],[6.2,45.1],[6,45],[6.1,45.3]]]}}]}`,
 `<?xml version="1.0"?><gpx version="1.1" creator="x"><wpt lat="45.3" lon="6.1"><ele>4</ele><name>while</name></wpt><rte><rtept lat="45.3" lon="6.1"/><rtept lat="45.4" lon="6.1"/></rte></gpx>`,
 `<kml xmlns="x"><Document><Placemark><name>x</name><Point><coordinates> 6.1,45.3,0 </coordinates></Point></Placemark></Document></kml>`,
 }{
  d, err := Read([]byte(s), Options{})
  fmt.Println(d.Format, err); for _, n := range d.Notes { fmt.Println("  -", n)}
  if err!=nil {continue}
  k, err := Take(d, Request{})
  fmt.Println(err, k.Extent()); fmt.Println(k.Notes, k.Renamed); fmt.Print(k.YAML(nil))
 }
}
