// The rings of the fence and the route: lists of names of marks.
package insert

import (
	"fmt"
	"slices"
	"strings"

	"merestone/internal/yaml"
)

func (w *work) boundary() error {
	if w.change.Boundary == nil {
		return nil
	}
	return w.inBlock("geofence", "boundary", w.change.Boundary)
}

func (w *work) route() error {
	if w.change.Route == nil {
		return nil
	}
	return w.inBlock("route", "waypoints", w.change.Route)
}

// inBlock makes a list of names the value of a key of a block.
func (w *work) inBlock(block, name string, names []string) error {
	p, err := newPage(w.mission)
	if err != nil {
		return err
	}
	if _, parent := key(p.root, block); parent != nil && parent.Kind == yaml.Mapping {
		w.shares(parent)
		if k, v := key(parent, name); k != nil {
			if err := w.list(p, k, v, names); err != nil {
				return err
			}
			return p.done(w.mission)
		}
	}
	if err := w.enter(p, p.root, block, []pair{{key: name, value: tree{entries: texts(names)}}}); err != nil {
		return err
	}
	return p.done(w.mission)
}

// list puts names in place of those that a list has. Comments that stand among them go with
// them: they are about what is no longer there.
func (w *work) list(p *page, k, v *yaml.Node, names []string) error {
	place := at(p.file, int(k.At.Line))
	switch {
	case open(v) || v.Kind == yaml.Alias:
	case v.Kind != yaml.List:
		return fmt.Errorf("%s: %s is no list; mend it first", place, k.Text)
	default:
		var there []string
		for i, e := range v.Within {
			w.shares(e)
			if e.Kind != yaml.Scalar && e.Kind != yaml.Alias {
				return fmt.Errorf("%s: entry %d of %s says more than the name of a mark, which would be lost; change the list by hand", at(p.file, int(e.At.Line)), i+1, k.Text)
			}
			there = append(there, e.Text)
		}
		if slices.Equal(there, names) {
			return nil
		}
		if !p.isFlow(v) {
			w.shares(v)
			lines := tree{entries: texts(names)}.block(int(v.At.Column), 0)
			lines[0] = strings.TrimLeft(lines[0], " ")
			p.put(p.offset(v.At), p.end(v), strings.Join(lines, "\n"))
			return nil
		}
	}
	w.set(p, k, v, tree{entries: texts(names)}, false)
	return nil
}

// obstacles gives those that are there their new rings, and puts the others behind them.
func (w *work) obstacles() error {
	if len(w.change.Obstacles) == 0 {
		return nil
	}
	p, err := newPage(w.mission)
	if err != nil {
		return err
	}
	_, fence := key(p.root, "geofence")
	var k, list *yaml.Node
	if fence != nil && fence.Kind == yaml.Mapping {
		w.shares(fence)
		k, list = key(fence, "obstacles")
	}
	var fresh []Obstacle
	for _, o := range w.change.Obstacles {
		known, err := w.ring(p, list, o)
		switch {
		case err != nil:
			return err
		case !known:
			fresh = append(fresh, o)
		}
	}
	if len(fresh) == 0 {
		return p.done(w.mission)
	}
	all := tree{lines: true}
	for _, o := range fresh {
		all.entries = append(all.entries, tree{keys: []pair{{key: "name", value: tree{text: o.Name}}, {key: "ring", value: tree{entries: texts(o.Ring)}}}})
	}
	switch {
	case k == nil:
		err = w.enter(p, p.root, "geofence", []pair{{key: "obstacles", value: all}})
	case open(list) || list.Kind == yaml.List && len(list.Within) == 0:
		w.fill(p, fence, k, list, all)
	case list.Kind != yaml.List:
		err = fmt.Errorf("%s: obstacles is no list; mend it first", at(p.file, int(k.At.Line)))
	case p.isFlow(list):
		w.shares(list)
		p.addInside(list, 1, len(all.entries), func(i, column int) ([]string, string) { return nil, all.entries[i].inline(column) })
	default:
		w.shares(list)
		last := list.Within[len(list.Within)-1]
		for i := range all.entries {
			all.entries[i].lines = last.Kind == yaml.Mapping && !p.isFlow(last)
		}
		p.putBehind(p.restOfBlock(p.end(list), int(list.At.Column)), all.block(int(list.At.Column), p.indent()))
	}
	if err != nil {
		return err
	}
	return p.done(w.mission)
}

// ring gives an obstacle that is there another ring, and reports whether it is there.
func (w *work) ring(p *page, list *yaml.Node, o Obstacle) (known bool, err error) {
	if list == nil || list.Kind != yaml.List {
		return false, nil
	}
	for _, e := range list.Within {
		if e.Kind != yaml.Mapping {
			continue
		}
		if _, name := key(e, "name"); name == nil || name.Text != o.Name {
			continue
		}
		w.shares(list, e)
		k, v := key(e, "ring")
		if k == nil {
			return false, fmt.Errorf("%s: the obstacle %q has no ring; change it by hand, or use another name", at(p.file, int(e.At.Line)), o.Name)
		}
		return true, w.list(p, k, v, o.Ring)
	}
	return false, nil
}
