// A fault of the notation ends the reading of the block that it stands in, and not of the
// file: the block of that key of the mission is left out, and the others are read, as if
// its value had been told of already. So faults in several blocks, and what else is wrong
// with the rest, are told in one run.
//
// A line that begins with a key in its first column begins a block, whatever stands before
// it: values end with their line, and brackets and braces are indented deeper than the block
// around them. So what is left reads as it would with the fault mended. Where the rest may
// hang on what is left out, by an alias, reading ends.
package spec

import (
	"regexp"
	"strings"

	"merestone/internal/yaml"
)

const (
	mostFaults   = 10        // of the notation, that are told in one run
	mostMendable = 256 << 10 // bytes of a file that is read anew behind a fault
)

// beginsBlock is the beginning of a line that begins a block.
var beginsBlock = regexp.MustCompile(`^["']?([A-Za-z_][A-Za-z0-9_ -]*)["']?[ ]*:( |\n|$)`)

// leftOut is a block that was left out: its key, and where that stands.
type leftOut struct {
	key string
	at  yaml.Place
}

// without is a text without the block that a fault stands in; the lines of the others stay
// where they are. It is false where that cannot be told from the rest.
func without(text string, fault *yaml.Fault) (rest string, out leftOut, ok bool) {
	switch fault.Kind {
	case yaml.Syntax, yaml.Tab, yaml.Tag:
	default:
		return "", leftOut{}, false
	}
	at := fault.At.Line
	if fault.Open.Line > 0 {
		at = fault.Open.Line // what is not closed is told where it should have been
	}
	lines := strings.SplitAfter(text, "\n")
	if at < 1 || int(at) > len(lines) || len(text) > mostMendable {
		return "", leftOut{}, false
	}
	from := int(at) - 1
	for from >= 0 && !beginsBlock.MatchString(lines[from]) {
		from--
	}
	if from < 0 {
		return "", leftOut{}, false
	}
	to := from + 1
	for to < len(lines) && !beginsBlock.MatchString(lines[to]) {
		to++
	}
	key := beginsBlock.FindStringSubmatch(lines[from])[1]
	cut, anchors := strings.Join(lines[from:to], ""), false
	for i := from; i < to; i++ {
		anchors = anchors || strings.Contains(lines[i], "&")
		if strings.HasSuffix(lines[i], "\n") {
			lines[i] = "\n"
		} else {
			lines[i] = ""
		}
	}
	rest = strings.Join(lines, "")
	if anchors && strings.Contains(rest, "*") || documentMark.MatchString(cut) || !anyBlock.MatchString(rest) {
		return "", leftOut{}, false
	}
	return rest, leftOut{key, yaml.Place{Line: int32(from + 1), Column: 1, Width: int32(len(key))}}, true
}

var (
	documentMark = regexp.MustCompile(`(?m)^(---|\.\.\.)`)
	anyBlock     = regexp.MustCompile(`(?m)` + beginsBlock.String())
)

// read reads the text; of what has a fault, as much as is left without its blocks.
func (d *decoder) read(text string) (document yaml.Document, out []leftOut, ok bool) {
	if text, out, ok = withoutTabs(text, d.tabbed); !ok {
		return document, nil, false // told
	}
	for {
		document, fault := yaml.Read(text)
		if fault == nil {
			fault = document.Doubt()
		}
		if fault == nil {
			return document, out, true
		}
		d.failFault(fault)
		rest, block, ok := without(text, fault)
		if !ok || len(out)+1 >= mostFaults {
			return document, nil, false
		}
		text, out = rest, append(out, block)
	}
}

// withoutTabs is a text without the blocks of lines that are indented with tabs.
func withoutTabs(text string, tabbed []int) (rest string, out []leftOut, ok bool) {
	lines := strings.Split(text, "\n")
	for _, line := range tabbed {
		if lines[line-1] == "" {
			continue // left out with its block
		}
		rest, block, ok := without(text, &yaml.Fault{Kind: yaml.Tab, At: yaml.Place{Line: int32(line)}})
		if !ok || len(out)+1 >= mostFaults {
			return "", nil, false
		}
		text, out = rest, append(out, block)
		lines = strings.Split(text, "\n")
	}
	return text, out, true
}

// leave puts blocks that were left out back, as values that were told of already.
func (n *node) leave(d *decoder, out []leftOut) {
	for _, block := range out {
		key := &node{kind: scalarKind, text: block.key, at: d.position(block.at), size: 1}
		broken := &node{kind: brokenKind, at: key.at, size: 1}
		there := false
		for i := range n.entries {
			if n.entries[i].key.text == block.key {
				n.entries[i].value, there = broken, true
			}
		}
		if !there {
			n.put(key, broken)
		}
	}
}
