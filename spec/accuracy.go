// Uncertainties: one standard deviation, or an accuracy with its probability, which becomes
// one. Of a position there are two axes, and whoever writes 95 % is to say whether that is a
// circle or each axis; of a distance or a heading there is one.
package spec

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"merestone/internal/diag"
	"merestone/internal/quantity"
)

// stated is an accuracy in a mission, with where it is written.
type stated struct {
	accuracy quantity.Accuracy
	reads    string // as one standard deviation
	first    diag.Position
	places   map[diag.Position]bool // one for each, though aliases have it read again
}

// horizontal is the deviation of a position, per axis.
func horizontal(field *quantity.Length) value {
	return uncertainty(field, deviation(), quantity.Radial, "5 cm (95 % radial)")
}

// maybeHorizontal need not be written.
func maybeHorizontal(field **quantity.Length) value { return optional(field, horizontal) }

// along is that of a quantity of one axis, such as a tape.
func along[T exact](field *T, b bounds[T], such string) value {
	return uncertainty(field, b, quantity.PerAxis, such)
}

// maybeAlong need not be written.
func maybeAlong[T exact](field **T, b bounds[T], such string) value {
	return optional(field, func(to *T) value { return along(to, b, such) })
}

// uncertainty is one standard deviation, or an accuracy with its probability. Usual is the
// manner of most: radial where there are two axes, per axis where there is one.
func uncertainty[T exact](field *T, b bounds[T], usual quantity.Manner, such string) value {
	plain := amount(field, b)
	dimension, within := T(0).Dimension(), b.words(T.String)
	v := plain
	v.words = fmt.Sprintf("%s; or with its probability, such as %s", plain.words, such)
	v.schema = func() map[string]any { return accuracySchema(plain.schema(), usual == quantity.Radial) }
	fits := func(got int64) bool {
		return got >= int64(b.low) && got <= int64(b.high) && (!b.open || got != int64(b.low))
	}
	v.read = func(d *decoder, n *node, path string) {
		if n.kind != scalarKind || !quantity.IsAccuracy(n.text) {
			if n.kind == scalarKind && d.readsAsAccuracy(n, path, dimension, usual, fits) {
				return
			}
			plain.read(d, n, path)
			return
		}
		a, err := quantity.ParseAccuracy(n.text, dimension)
		switch {
		case err != nil:
			d.badQuantity(n, path, dimension, err, fits)
			return
		case a.Manner == "" && usual == quantity.Radial:
			f := d.fail(ruleBadQuantity, n.at, "", "%s is %s, which is either a circle or each axis by itself", keyOf(path), quote(n.text))
			d.offerMeanings(f, n, answers(a, T.String, fits), "write whether it is radial or per axis: "+such)
			return
		case a.Manner == quantity.Radial && usual != quantity.Radial:
			f := d.fail(ruleBadQuantity, n.at, "", "%s is %s, and has one axis, in which nothing is radial", keyOf(path), quote(n.text))
			d.offerMeanings(f, n, []meaning{{text: a.With("").String()}}, "")
			return
		}
		got := T(a.StandardDeviation())
		if !fits(int64(got)) {
			d.fail(ruleOutOfRange, n.at, "", "%s is %s, or %s of one standard deviation; it must be %s", keyOf(path), a, got, within)
			return
		}
		*field = got
		d.state(a, got.String(), n.at)
	}
	return v
}

// answers are an accuracy in both manners, with what each comes to.
func answers[T exact](a quantity.Accuracy, show func(T) string, fits func(int64) bool) []meaning {
	var found []meaning
	for _, m := range []quantity.Manner{quantity.Radial, quantity.PerAxis} {
		with := a.With(m)
		if got := with.StandardDeviation(); fits(got) {
			found = append(found, meaning{text: with.String(), why: "which is " + show(T(got)) + " per axis"})
		}
	}
	return found
}

// Other ways to give an accuracy with its probability. CEP and R95 are circles of 50 % and
// 95 %; the root of the mean squared distance, DRMS, is √2 σ, and within √2 σ and 2√2 σ are
// 1-e⁻¹ and 1-e⁻⁴ of all; within one, two and three σ of an axis are 68.27 %, 95.45 % and
// 99.73 % (the names from memory).
var (
	otherAccuracy = regexp.MustCompile(`(?i)^ *([+-]?[0-9.]+ *[a-z]+)[ ,;@(]*(?:at|with)? *(?:([0-9]{1,2}(?:\.[0-9]{1,4})?) ?%|0(\.[0-9]{1,4})|(cep|cep50|r50|cep68|r68|cep95|r95|drms|2 ?drms|1? ?sigma|1? ?σ|1 ?sd|2 ?sigma|2 ?σ|3 ?sigma|3 ?σ))[ ,)]*(radial|radius|circular|circle|horizontal|2d|per axis|per-axis|each axis|axis|1d)?[ )]*$`)
	namedAccuracy = map[string]string{
		"cep": "50 %, radial", "cep50": "50 %, radial", "r50": "50 %, radial", "cep68": "68 %, radial", "r68": "68 %, radial", "cep95": "95 %, radial", "r95": "95 %, radial",
		"drms": "63.21 %, radial", "2drms": "98.17 %, radial",
		"sigma": "", "1sigma": "", "σ": "", "1σ": "", "1sd": "",
		"2sigma": "95.45 %, per axis", "2σ": "95.45 %, per axis", "3sigma": "99.73 %, per axis", "3σ": "99.73 %, per axis",
	}
)

// readsAsAccuracy reports whether a text is an accuracy in another form, which it then says.
func (d *decoder) readsAsAccuracy(n *node, path string, dimension quantity.Dimension, usual quantity.Manner, fits func(int64) bool) bool {
	part := otherAccuracy.FindStringSubmatch(n.text)
	if part == nil || len(n.text) > 80 {
		return false
	}
	manner := ""
	switch strings.ToLower(part[5]) {
	case "":
	case "per axis", "per-axis", "each axis", "axis", "1d":
		manner = ", " + string(quantity.PerAxis)
	default:
		manner = ", " + string(quantity.Radial)
	}
	probability := part[2] + " %" + manner
	if part[3] != "" {
		probability = decimalPercent(part[3]) + " %" + manner
	}
	if part[4] != "" {
		probability = namedAccuracy[strings.ReplaceAll(strings.ToLower(part[4]), " ", "")]
	}
	text := part[1]
	if probability != "" {
		text = fmt.Sprintf("%s (%s)", part[1], probability)
	}
	f := d.fail(ruleBadQuantity, n.at, "", "%s is %s, an accuracy in a form that is not read", keyOf(path), quote(n.text))
	var found []meaning
	a, err := quantity.ParseAccuracy(text, dimension)
	switch got, wrong := quantity.Parse(text, dimension); {
	case wrong == nil && fits(got):
		found = []meaning{{text: text}}
	case err != nil || usual != quantity.Radial && a.Manner == quantity.Radial:
	case usual == quantity.Radial && a.Manner == "":
		found = answers(a, func(v quantity.Length) string { return v.String() }, fits)
	case fits(a.StandardDeviation()):
		found = []meaning{{text: a.String()}}
	}
	such := "5 cm (95 % radial)"
	if usual != quantity.Radial {
		such = "one standard deviation, or 5 " + dimension.Usual + " (95 %)"
	}
	d.offerMeanings(f, n, found, "write "+such)
	return true
}

// decimalPercent is a fraction of one in hundredths: ".95" is 95.
func decimalPercent(fraction string) string {
	digits := (fraction[1:] + "00")
	whole, rest := strings.TrimLeft(digits[:2], "0"), strings.TrimRight(digits[2:], "0")
	if whole == "" {
		whole = "0"
	}
	if rest == "" {
		return whole
	}
	return whole + "." + rest
}

// state notes an accuracy that was read.
func (d *decoder) state(a quantity.Accuracy, reads string, at diag.Position) {
	if d.stated == nil {
		d.stated = map[string]*stated{}
	}
	key := a.String()
	if d.stated[key] == nil {
		d.stated[key] = &stated{accuracy: a, reads: reads, first: at, places: map[diag.Position]bool{}}
	}
	d.stated[key].places[at] = true
}

// maxStated is how many accuracies are shown: a mission has one or two.
const maxStated = 10

// accuracies say what each accuracy became, with the formula, as notes.
func (d *decoder) accuracies() []diag.Finding {
	var notes []diag.Finding
	for _, key := range slices.Sorted(maps.Keys(d.stated)) {
		s := d.stated[key]
		each := "" // of what has one axis
		if s.accuracy.Manner == quantity.Radial {
			each = " per axis"
		}
		f := diag.New(s.first, "%s is one standard deviation of %s%s: %s", s.accuracy, s.reads, each, s.accuracy.Formula())
		if n := len(s.places); n > 1 {
			f.Add("; so it is in %d places", n)
		}
		f.Rule, f.Severity, f.About = ruleAccuracy, diag.Note, []diag.Subject{diag.The(diag.File, s.first.File)}
		notes = append(notes, f)
	}
	diag.Sort(notes)
	return notes[:min(len(notes), maxStated)]
}

// rejoined finds values within braces that a comma ends within their parentheses, as in
// {uncertainty: 5 cm (95 %, radial)}: what stands behind the comma is a key to YAML. It
// says so once, and gives the block without either.
func (d *decoder) rejoined(n *node, path string) *node {
	cut := func(i int) bool {
		value, next := n.entries[i].value, n.entries[i+1]
		return value.kind == scalarKind && !value.quoted && strings.Count(value.text, "(") == 1 && !strings.Contains(value.text, ")") &&
			next.value.kind == nullKind && strings.Count(next.key.text, ")") == 1 && strings.HasSuffix(next.key.text, ")")
	}
	var kept []entry
	for i := 0; i < len(n.entries); i++ {
		e := n.entries[i]
		if i+1 < len(n.entries) && cut(i) {
			value, next := e.value, n.entries[i+1].key
			text := value.text + " " + next.text
			f := d.fail(ruleBadQuantity, value.at, "write "+text+", or put it into quotation marks", "%s: a comma ends a value within braces, and this one stands within parentheses", keyOf(join(path, e.key.text)))
			if value.at.Line == next.at.Line {
				edit := diag.Replace(value.at, text)
				edit.EndColumn = next.at.Column + next.at.Width
				d.offer(f, true, "write "+text, edit)
			}
			e.value = &node{kind: brokenKind, at: value.at, size: 1}
			i++
		}
		kept = append(kept, e)
	}
	if len(kept) == len(n.entries) {
		return n
	}
	whole := *n
	whole.entries = kept
	return &whole
}
