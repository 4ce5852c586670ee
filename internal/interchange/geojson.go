// GeoJSON as RFC 7946 has it: longitude first, WGS 84, the third number a height above the
// ellipsoid in metres. Older files name other frames by "crs", and are refused unless it is
// WGS 84 by another name.
//
// It is read token by token, since "coordinates" may come before "type" says what they are,
// and so that depth and number are known before memory is taken.
package interchange

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"slices"
	"strings"
)

// node is a value of JSON as far as geometry needs it: a number by its digits, or a list.
type node struct {
	number string
	list   []node
	isList bool
	line   int
}

// object is what is read of an object of GeoJSON. The members of a geometry and those of a
// feature stand beside each other: what it is, is known at its end.
type object struct {
	of          string // member "type"
	line        int
	coordinates *node
	geometries  []object
	geometry    *object
	properties
}

// properties are what is read of a feature beside its geometry.
type properties struct{ name, kind, centre, radius string }

type jsonReader struct {
	*reading
	dec   *json.Decoder
	nodes *int // of coordinates
}

func (r *reading) geojson() error {
	j := jsonReader{r, json.NewDecoder(bytes.NewReader(r.text)), new(int)}
	j.dec.UseNumber()
	token, err := j.next()
	if err != nil {
		return err
	}
	if token != json.Delim('{') {
		return fault(j.lineNow(), "it is JSON, but no object of GeoJSON")
	}
	if _, err := j.object(0); err != nil {
		return err
	}
	if _, err := j.dec.Token(); !errors.Is(err, io.EOF) {
		return fault(j.lineNow(), "there is something behind the end of the GeoJSON object")
	}
	return nil
}

func (j jsonReader) lineNow() int { return j.lineAt(int(j.dec.InputOffset())) }

// next is the next token; the end of the file is a fault.
func (j jsonReader) next() (json.Token, error) {
	token, err := j.dec.Token()
	switch syntax := (*json.SyntaxError)(nil); {
	case err == nil:
		return token, nil
	case errors.As(err, &syntax):
		return nil, fault(j.lineAt(int(syntax.Offset)), "it is not JSON: %v", err)
	case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
		return nil, fault(j.lineAt(len(j.text)), "the JSON ends too early")
	}
	return nil, fault(j.lineNow(), "it is not JSON: %v", err)
}

// members reads an object up to its end, and calls of with each name; of reads the value.
func (j jsonReader) members(depth int, of func(name string) error) error {
	if depth > maxDepth {
		return fault(j.lineNow(), "there are more than %d objects and lists within each other", maxDepth)
	}
	for j.dec.More() {
		token, err := j.next()
		if err != nil {
			return err
		}
		name, ok := token.(string)
		if !ok {
			return fault(j.lineNow(), "a member of an object has no name")
		}
		if err := of(name); err != nil {
			return err
		}
	}
	_, err := j.next()
	return err
}

// elements reads a list up to its end, and calls of with the first token of each.
func (j jsonReader) elements(depth int, of func(first json.Token) error) error {
	if depth > maxDepth {
		return fault(j.lineNow(), "there are more than %d objects and lists within each other", maxDepth)
	}
	for j.dec.More() {
		token, err := j.next()
		if err != nil {
			return err
		}
		if err := of(token); err != nil {
			return err
		}
	}
	_, err := j.next()
	return err
}

// skip reads the rest of a value whose first token is read.
func (j jsonReader) skip(first json.Token, depth int) error {
	switch first {
	case json.Delim('{'):
		return j.members(depth, func(string) error {
			token, err := j.next()
			if err != nil {
				return err
			}
			return j.skip(token, depth+1)
		})
	case json.Delim('['):
		return j.elements(depth, func(token json.Token) error { return j.skip(token, depth+1) })
	}
	return nil
}

// object reads an object whose brace is read. Features of a collection are taken as they
// come, and not kept.
func (j jsonReader) object(depth int) (object, error) {
	o := object{line: j.lineNow()}
	seen := map[string]bool{}
	err := j.members(depth, func(name string) error {
		token, err := j.next()
		if err != nil {
			return err
		}
		switch known := slices.Contains([]string{"type", "coordinates", "geometry", "geometries", "features", "properties", "crs", "id"}, name); {
		case known && seen[name]:
			return fault(j.lineNow(), "the member %q is there twice", name)
		case known:
			seen[name] = true
		}
		switch name {
		case "type":
			o.of, _ = token.(string)
		case "coordinates":
			if token == nil {
				return nil
			}
			read, err := j.numbers(token, depth+1)
			o.coordinates = &read
			return err
		case "geometry":
			if token == json.Delim('{') {
				geometry, err := j.object(depth + 1)
				o.geometry = &geometry
				return err
			}
		case "geometries", "features":
			if token != json.Delim('[') {
				return fault(j.lineNow(), "%q is no list", name)
			}
			return j.elements(depth+1, func(first json.Token) error {
				if first != json.Delim('{') {
					return fault(j.lineNow(), "%q holds something that is no object", name)
				}
				of, err := j.object(depth + 2)
				if err == nil && name == "geometries" {
					o.geometries = append(o.geometries, of)
				}
				return err
			})
		case "properties":
			if token == json.Delim('{') {
				return j.propertiesOf(&o, depth+1)
			}
		case "crs":
			return j.frame(token, depth+1)
		case "id":
			if o.name == "" {
				o.name = oneLine(asText(token))
			}
		}
		return j.skip(token, depth+1)
	})
	if err != nil {
		return o, err
	}
	return o, j.finish(o, depth)
}

// finish takes what stands by itself: a feature, or a geometry that is the whole file.
func (j jsonReader) finish(o object, depth int) error {
	switch o.of {
	case "FeatureCollection":
		return nil
	case "Feature":
		if o.geometry == nil {
			j.count(noGeometry, o.line)
			return nil
		}
		return j.take(*o.geometry, o.properties)
	case "":
		return fault(o.line, "an object of GeoJSON has no \"type\"")
	}
	if depth == 0 {
		return j.take(o, properties{})
	}
	return nil
}

func asText(token json.Token) string {
	switch t := token.(type) {
	case string:
		return t
	case json.Number:
		return t.String()
	}
	return ""
}

// propertiesOf reads what a feature is called, by the members that mostly say it, and what a
// file of this program says that it is.
func (j jsonReader) propertiesOf(o *object, depth int) error {
	rank := len(nameKeys())
	return j.members(depth, func(key string) error {
		token, err := j.next()
		if err != nil {
			return err
		}
		text := oneLine(asText(token))
		switch key {
		case "kind":
			o.kind = text
		case "centre":
			o.centre = text
		case "radius":
			o.radius = text
		}
		if i := slices.Index(nameKeys(), strings.ToLower(key)); i >= 0 && i < rank && text != "" {
			rank, o.name = i, text
		}
		return j.skip(token, depth+1)
	})
}

func nameKeys() []string { return []string{"name", "title", "label", "id"} }

// frame refuses what is not WGS 84. RFC 7946 has no "crs" any more; GeoJSON of 2008 (from
// memory) has, and CRS84 was its own.
func (j jsonReader) frame(token json.Token, depth int) error {
	if token == nil {
		return nil
	}
	line := j.lineNow()
	var name string
	var inner func(token json.Token, depth int) error
	inner = func(token json.Token, depth int) error {
		if token != json.Delim('{') {
			return j.skip(token, depth)
		}
		return j.members(depth, func(key string) error {
			value, err := j.next()
			if err != nil {
				return err
			}
			if key == "name" || key == "href" {
				name = asText(value)
			}
			return inner(value, depth+1)
		})
	}
	if err := inner(token, depth); err != nil {
		return err
	}
	switch strings.ToUpper(name) {
	case "URN:OGC:DEF:CRS:OGC:1.3:CRS84", "URN:OGC:DEF:CRS:OGC::CRS84", "OGC:CRS84", "EPSG:4326", "URN:OGC:DEF:CRS:EPSG::4326", "EPSG:4979":
		j.data.Notes = append(j.data.Notes, "the frame is named, by the old member \"crs\": WGS 84; longitudes are taken to come first, as RFC 7946 has it")
		return nil
	}
	return fault(line, "the frame is %q by the member \"crs\", and not WGS 84: convert the file to longitude and latitude of WGS 84 (RFC 7946)", shown(name))
}

// numbers reads lists of numbers, by their digits.
func (j jsonReader) numbers(first json.Token, depth int) (node, error) {
	n := node{line: j.lineNow()}
	if *j.nodes++; *j.nodes > 5*maxPoints { // a position is a list of up to four numbers
		return n, fault(n.line, "there are more than %d lists and numbers among the coordinates", 5*maxPoints)
	}
	switch t := first.(type) {
	case json.Number:
		n.number = t.String()
		return n, nil
	case json.Delim:
		if t == '[' {
			n.isList = true
			err := j.elements(depth, func(token json.Token) error {
				if _, number := token.(json.Number); number && len(n.list) == 0 {
					if err := j.point(n.line); err != nil {
						return err
					}
				}
				if len(n.list) >= 4 && !n.list[0].isList { // position has two numbers or three
					return fault(n.line, "a position has more than four numbers")
				}
				of, err := j.numbers(token, depth+1)
				n.list = append(n.list, of)
				return err
			})
			return n, err
		}
	}
	return n, fault(n.line, "there is something among coordinates that is no number")
}

// take takes a geometry with what is in it.
func (j jsonReader) take(o object, p properties) error {
	if p.kind == KindStandoff || p.kind == KindCut {
		j.count(workedOut, o.line)
		return nil
	}
	if o.of == "GeometryCollection" {
		for _, g := range o.geometries {
			if err := j.take(g, p); err != nil {
				return err
			}
		}
		return nil
	}
	nested, known := map[string]int{"Point": 0, "MultiPoint": 1, "LineString": 1, "MultiLineString": 2, "Polygon": 2, "MultiPolygon": 3}[o.of]
	switch {
	case !known:
		return fault(o.line, "there is no geometry of the type %q in GeoJSON", shown(o.of))
	case o.coordinates == nil || !o.coordinates.isList:
		return fault(o.line, "a %s has no coordinates", o.of)
	case len(o.coordinates.list) == 0: // empty geometries are none (RFC 7946, 3.1)
		j.count(noGeometry, o.line)
		return nil
	}
	return j.parts(*o.coordinates, nested, o.of, p)
}

// parts takes coordinates that are so many lists deep above their positions.
func (j jsonReader) parts(n node, nested int, geometry string, of properties) error {
	if !n.isList {
		return fault(n.line, "the coordinates of a %s lack a list", geometry)
	}
	switch {
	case nested == 0:
		p, err := j.position(n, of.name)
		j.data.Points = append(j.data.Points, p)
		return err
	case nested == 1 && geometry == "LineString" || nested == 1 && geometry == "MultiLineString":
		return j.path(n, Line, of)
	case nested == 2 && (geometry == "Polygon" || geometry == "MultiPolygon") && len(n.list) > 0:
		for i, ring := range n.list {
			form := Polygon
			if i > 0 {
				form = Hole
			}
			if err := j.path(ring, form, of); err != nil {
				return err
			}
		}
		return nil
	}
	for _, part := range n.list {
		if err := j.parts(part, nested-1, geometry, of); err != nil {
			return err
		}
	}
	return nil
}

func (j jsonReader) path(n node, form Form, is properties) error {
	p := Path{Name: is.name, Kind: is.kind, Form: form, Line: n.line, Centre: is.centre, Radius: is.radius}
	if !n.isList {
		return fault(n.line, "the coordinates of a %s lack a list", form)
	}
	for _, of := range n.list {
		at, err := j.position(of, "")
		if err != nil {
			return err
		}
		p.Points = append(p.Points, at)
	}
	return j.add(p)
}

// position reads longitude, latitude and perhaps a height.
func (j jsonReader) position(n node, name string) (Point, error) {
	if !n.isList || len(n.list) < 2 || n.list[0].isList || n.list[1].isList {
		return Point{}, fault(n.line, "a position is a list of two numbers, longitude and latitude, and perhaps a height")
	}
	p, err := j.place(n.list[1].number, n.list[0].number, n.line, false)
	if err != nil {
		return p, err
	}
	p.Name = name
	if len(n.list) > 2 {
		if n.list[2].isList {
			return p, fault(n.line, "the height of a position is no number")
		}
		p.Height, err = j.height(n.list[2].number, "", ellipsoid, n.line)
	}
	return p, err
}
