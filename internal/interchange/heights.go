// Heights. Those of a mission are above the ellipsoid of WGS 84. A height above the sea is
// tens of metres off that, and never becomes one unless somebody says how high the sea is
// there.
package interchange

import (
	"strings"

	"merestone/internal/geodesy"
	"merestone/internal/quantity"
)

// above is what a height is above.
type above uint8

const (
	ellipsoid above = iota
	sea
	unknown
	ground
)

// height gives the height that a point gets, nil for none. Beside is the separation of the geoid
// that the file has for that point, empty for none.
func (r *reading) height(text, beside string, over above, line int) (*quantity.Length, error) {
	if text == "" {
		return nil, nil
	}
	if over == ground {
		r.count(groundHeight, line)
		return nil, nil
	}
	h, err := r.metres(text, line)
	if err != nil {
		return nil, err
	}
	switch {
	case r.opt.Separation != nil:
		r.count(shiftedHeight, line)
		h += *r.opt.Separation
	case r.opt.Ellipsoidal:
		r.count(saidHeight, line)
	case over == ellipsoid:
		r.count(ellipsoidHeight, line)
	case over == sea && beside != "":
		separation, err := r.metres(beside, line)
		if err != nil {
			return nil, err
		}
		r.count(separatedHeight, line)
		h += separation
	case over == sea:
		r.count(seaHeight, line)
		return nil, nil
	default:
		r.count(unknownHeight, line)
		return nil, nil
	}
	if m := h.Metres(); m < geodesy.MinHeightM || m > geodesy.MaxHeightM {
		return nil, fault(line, "the height %s above the ellipsoid is not from %d to %d m", h, geodesy.MinHeightM, geodesy.MaxHeightM)
	}
	return &h, nil
}

// metres reads a height: a number of metres, or one with a unit as a mission has it.
func (r *reading) metres(text string, line int) (quantity.Length, error) {
	number, isNumber := plain(text)
	if isNumber {
		if _, fraction, _ := strings.Cut(number, "."); len(strings.TrimRight(fraction, "0")) > 6 {
			r.count(roundedHeight, line)
			if whole, _, _ := strings.Cut(number, "."); len(whole) < 12 && len(number) > 40 {
				number = number[:40]
			}
			if strings.Trim(number[:min(len(number), strings.Index(number, ".")+7)], "-0.") == "" {
				return 0, nil // below a micrometre, which quantity refuses
			}
		}
		text = number + " m"
	}
	value, err := quantity.Parse(text, quantity.Length(0).Dimension())
	if err != nil {
		return 0, fault(line, "height %q is no length: %v", shown(text), err)
	}
	return quantity.Length(value), nil
}
