// What GPX and KML share: elements of XML, read one by one. Whatever is not plain elements
// and text is refused before it is looked at: a document type, by which entities are made
// that grow without bound or name files, and another encoding than UTF-8.
package interchange

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
)

type xmlReader struct {
	*reading
	dec   *xml.Decoder
	bytes *countedBytes
	depth int
	space string // the namespace of the outermost element
}

// countedBytes are the bytes of a file one by one, as the decoder takes them. It keeps all
// attributes of an element in memory, at many times what they take in the file: so the signs
// of equality of one token are counted, of which each attribute has one.
type countedBytes struct {
	*bytes.Reader
	equals int
}

const maxAttributes = 100_000

var errAttributes = fmt.Errorf("an element has more than %d attributes", maxAttributes)

func (c *countedBytes) ReadByte() (byte, error) {
	b, err := c.Reader.ReadByte()
	if b == '=' {
		if c.equals++; c.equals > maxAttributes {
			return 0, errAttributes
		}
	}
	return b, err
}

// xml reads a file of XML by its outermost element.
func (r *reading) xml() error {
	in := &countedBytes{Reader: bytes.NewReader(r.text)}
	x := &xmlReader{reading: r, dec: xml.NewDecoder(in), bytes: in}
	x.dec.CharsetReader = func(encoding string, _ io.Reader) (io.Reader, error) {
		return nil, errors.New("the encoding is " + shown(encoding) + ": save the file in UTF-8")
	}
	root, err := x.root()
	if err != nil {
		return err
	}
	x.space = root.Name.Space
	switch root.Name.Local {
	case "gpx":
		err = x.gpx(root)
	case "kml":
		x.data.Format = "KML"
		err = x.kml()
	default:
		return fault(x.lineNow(), "it is XML, but neither GPX nor KML: its outermost element is %q", shown(root.Name.Local))
	}
	if err != nil {
		return err
	}
	if left, err := x.root(); err != nil || left.Name.Local != "" {
		return fault(x.lineNow(), "there is something behind the end of the outermost element")
	}
	return nil
}

func (x *xmlReader) lineNow() int { return x.lineAt(int(x.dec.InputOffset())) }

// root is the next element outside of any; without a name at the end of the file.
func (x *xmlReader) root() (xml.StartElement, error) {
	for {
		token, err := x.token()
		if err != nil || token == nil {
			return xml.StartElement{}, err
		}
		switch t := token.(type) {
		case xml.StartElement:
			return t, nil
		case xml.CharData:
			if len(bytes.TrimSpace(t)) > 0 {
				return xml.StartElement{}, fault(x.lineNow(), "there is text outside of all elements")
			}
		}
	}
}

// token is the next token, nil at the end of the file.
func (x *xmlReader) token() (xml.Token, error) {
	x.bytes.equals = 0
	token, err := x.dec.Token()
	var syntax *xml.SyntaxError
	switch {
	case errors.Is(err, io.EOF):
		return nil, nil
	case errors.As(err, &syntax):
		return nil, fault(syntax.Line, "it is not well-formed XML: %s", syntax.Msg)
	case err != nil:
		return nil, fault(x.lineNow(), "it cannot be read: %v", strings.TrimPrefix(err.Error(), "xml: "))
	}
	switch t := token.(type) {
	case xml.Directive:
		return nil, fault(x.lineNow(), "it has a document type or another declaration (<!...>), which is not read: entities and other files may be in it")
	case xml.StartElement:
		if x.depth++; x.depth > maxDepth {
			return nil, fault(x.lineNow(), "there are more than %d elements within each other", maxDepth)
		}
		if name, twice := repeated(t.Attr); twice {
			return nil, fault(x.lineNow(), "it is not well-formed XML: the attribute %q is there twice", shown(name))
		}
	case xml.EndElement:
		x.depth--
	}
	return token, nil
}

// repeated is an attribute that an element has twice, which the decoder lets pass.
func repeated(attributes []xml.Attr) (name string, twice bool) {
	if len(attributes) < 2 {
		return "", false
	}
	there := make(map[xml.Name]bool, len(attributes))
	for _, a := range attributes {
		if there[a.Name] {
			return a.Name.Local, true
		}
		there[a.Name] = true
	}
	return "", false
}

// own is children for elements of the outermost one's namespace: what stands under the same
// name in another is something else.
func (x *xmlReader) own(of func(xml.StartElement) error) error {
	return x.children(func(e xml.StartElement) error {
		if e.Name.Space != x.space {
			return x.skip()
		}
		return of(e)
	})
}

// children reads an element up to its end and calls of with each element in it, which of
// reads up to its end in turn.
func (x *xmlReader) children(of func(xml.StartElement) error) error {
	for {
		token, err := x.token()
		switch t := token.(type) {
		case nil:
			if err == nil {
				err = fault(x.lineNow(), "the XML ends too early")
			}
			return err
		case xml.EndElement:
			return nil
		case xml.StartElement:
			if err := of(t); err != nil {
				return err
			}
		}
	}
}

// skip reads an element up to its end.
func (x *xmlReader) skip() error {
	return x.children(func(xml.StartElement) error { return x.skip() })
}

// words is raw without the space around it.
func (x *xmlReader) words() (string, error) {
	text, err := x.raw()
	return strings.TrimSpace(text), err
}

// raw reads an element up to its end and gives the text in it.
func (x *xmlReader) raw() (string, error) {
	var text strings.Builder
	for depth := 1; depth > 0; {
		token, err := x.token()
		switch t := token.(type) {
		case nil:
			if err == nil {
				err = fault(x.lineNow(), "the XML ends too early")
			}
			return "", err
		case xml.CharData:
			text.Write(t)
		case xml.StartElement:
			depth++
		case xml.EndElement:
			depth--
		}
	}
	return text.String(), nil
}

// attribute is the value of an attribute, empty where there is none.
func attribute(of xml.StartElement, name string) string {
	for _, a := range of.Attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return strings.TrimSpace(a.Value)
		}
	}
	return ""
}
