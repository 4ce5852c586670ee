// The second reader: the library go.yaml.in/yaml, which shares no code with this
// package, reads the same text. A text that the two read differently is refused: one
// of them is wrong, and a machine must not move by either.
package yaml

import (
	"fmt"

	other "go.yaml.in/yaml/v3"
)

// Doubt has the second reader read the document, and is nil where the two agree. It
// is not asked where an alias refers to no anchor before it or to what it stands in:
// it says no more of the rest then, and whoever follows the aliases will.
func (d Document) Doubt() (fault *Fault) {
	if d.strayed {
		return nil
	}
	doubt := func(at Place, why string) *Fault {
		return &Fault{Kind: Syntax, At: at, Message: "a second reader of YAML does not read this as it is read here: " + why, Remedy: "write it in plainer YAML, such as the value in quotation marks"}
	}
	defer func() {
		if trouble := recover(); trouble != nil {
			fault = doubt(Place{}, "it gave up")
		}
	}()
	var document other.Node
	if err := other.Unmarshal(d.again, &document); err != nil {
		return doubt(Place{}, err.Error())
	}
	if len(document.Content) != 1 {
		return doubt(Place{}, "it found nothing")
	}
	if n, why := differs(d.Root, document.Content[0]); why != "" {
		return doubt(n.At, why)
	}
	return nil
}

// differs finds the first node that the library has otherwise, and says how.
func differs(n *Node, o *other.Node) (*Node, string) {
	switch kind := kindOf(o); {
	case kind != n.Kind:
		return n, "as another kind of value"
	case n.Anchor != o.Anchor:
		return n, fmt.Sprintf("with the anchor %q", o.Anchor)
	case n.Kind == Mapping || n.Kind == List:
		if len(n.Within) != len(o.Content) {
			return n, fmt.Sprintf("with %d keys, values or entries in place of %d", len(o.Content), len(n.Within))
		}
	case n.Text != o.Value && n.Kind != Null:
		return n, fmt.Sprintf("as %q", o.Value)
	case n.Quoted != (o.Style&(other.SingleQuotedStyle|other.DoubleQuotedStyle) != 0):
		return n, "with other quotation marks"
	case n.Anchor == "" && n.Kind != Null && (int(n.At.Line) != o.Line || int(n.At.Column) != o.Column): // the library counts an anchor in
		return n, fmt.Sprintf("at line %d, column %d", o.Line, o.Column)
	}
	for i, within := range n.Within {
		if at, why := differs(within, o.Content[i]); why != "" {
			return at, why
		}
	}
	return nil, ""
}

func kindOf(o *other.Node) Kind {
	switch o.Kind {
	case other.MappingNode:
		return Mapping
	case other.SequenceNode:
		return List
	case other.AliasNode:
		return Alias
	}
	if o.Tag == "!!null" {
		return Null
	}
	return Scalar
}
