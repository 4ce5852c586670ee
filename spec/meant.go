// What was probably meant by a value that its key does not hold: the answer computed,
// where there is one, and said as the remedy; and offered as a change of the text. What is
// offered is read, and is within the bounds of its key. A certain one has one meaning and
// changes none; all others are for a person.
package spec

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/quantity"
	"merestone/internal/words"
	"merestone/internal/yaml"
)

// meaning is a value as it is to be written.
type meaning struct {
	text    string
	certain bool
	why     string
}

// offerMeanings says what was probably meant, or else what is given, and offers it.
func (d *decoder) offerMeanings(f *diag.Finding, n *node, meanings []meaning, otherwise string) {
	f.Remedy = diag.OneLine(otherwise)
	var told []string
	for _, m := range meanings {
		text := m.text
		if strings.HasPrefix(m.why, "w") { // with, which is
			text += ","
		}
		told = append(told, strings.TrimRight(text+" "+m.why, " "))
		d.put(f, n, m.certain && len(meanings) == 1, m.text)
	}
	switch len(told) {
	case 0:
	case 1:
		f.Remedy = "write " + told[0]
	default:
		by := " or "
		if meanings[0].why != "" {
			by = ", or "
		}
		f.Remedy = "write " + strings.Join(told, by)
	}
	f.Remedy = diag.OneLine(f.Remedy)
}

// meantQuantity is what a quantity may mean, as far as its key holds it.
func (d *decoder) meantQuantity(text string, dimension quantity.Dimension, fits func(int64) bool) []meaning {
	if !d.mayOffer() {
		return nil
	}
	good := func(text string) bool {
		got, err := quantity.Parse(text, dimension)
		return err == nil && fits(got)
	}
	plain := plainly(text)
	if plain != text && good(plain) {
		return []meaning{{plain, true, "in plain characters: what stands here only looks like it"}}
	}
	if bare := unpunctuated(plain); bare != plain && good(bare) {
		return []meaning{{bare, plain == text, "without what stands behind it"}}
	}
	var found []meaning
	for _, m := range quantity.Meant(plain, dimension) {
		if good(m.Text) {
			found = append(found, meaning{m.Text, m.Certain && plain == text, m.Why})
		}
	}
	return found
}

// meantCoordinate is what a latitude or longitude may mean.
func (d *decoder) meantCoordinate(text string, meant func(string) []geodesy.Meaning) []meaning {
	if !d.mayOffer() {
		return nil
	}
	var found []meaning
	for _, m := range meant(unpunctuated(text)) {
		found = append(found, meaning{m.Text, m.Certain, ""})
	}
	return found
}

// synonyms are words of the trade for the words of the language, in small letters and
// without what sets their parts apart (from memory). They are offered only where the key
// knows the word, and never taken: NO is a word for no, too, and a contact that is taken
// for the other one is a hold that does not hold.
var synonyms = map[string][]string{
	"no": {"normally-open", "none"}, "n.o.": {"normally-open"}, "n/o": {"normally-open"}, "nopen": {"normally-open"}, "make": {"normally-open"}, "forma": {"normally-open"}, "open": {"normally-open"},
	"nc": {"normally-closed"}, "n.c.": {"normally-closed"}, "n/c": {"normally-closed"}, "nclosed": {"normally-closed"}, "break": {"normally-closed"}, "formb": {"normally-closed"}, "closed": {"normally-closed"},
	"gnd": {"ground"}, "0v": {"ground"}, "vss": {"ground"}, "earth": {"ground"}, "minus": {"ground"}, "low": {"ground", "down"},
	"vcc": {"supply"}, "vdd": {"supply"}, "3v3": {"supply"}, "3.3v": {"supply"}, "plus": {"supply"}, "power": {"supply"}, "high": {"supply", "up"},
	"pullup": {"up"}, "pulldown": {"down"}, "pullnone": {"none"}, "off": {"none"}, "false": {"none"}, "null": {"none"}, "floating": {"none"},
	"estop": {"emergency-stop"}, "emergency": {"emergency-stop"}, "deadman": {"hold-to-run"}, "holdtorun": {"hold-to-run"}, "enabling": {"hold-to-run"},
	"fix": {"fixed"}, "rtkfixed": {"fixed"}, "rtkfix": {"fixed"}, "rtkfloat": {"float"},
	"soft": {"software"}, "hard": {"hardware"}, "fpu": {"hardware"}, "nofpu": {"software"},
	"average": {"averaged"}, "surveyin": {"averaged"}, "surveyed": {"entered"}, "known": {"entered"}, "manual": {"entered"}, "ntrip": {"network"}, "vrs": {"network"},
	"tree": {"canopy"}, "trees": {"canopy"}, "transistor": {"semiconductor"}, "mosfet": {"semiconductor"}, "driver": {"semiconductor"}, "contactor": {"relay"},
}

// joined is a word in small letters, without what sets its parts apart.
func joined(word string) string {
	return strings.NewReplacer("-", "", "_", "", " ", "").Replace(strings.ToLower(unpunctuated(plainly(word))))
}

// unpunctuated is a text without the comma or semicolon that other notations have behind
// a value.
func unpunctuated(text string) string { return strings.TrimRight(text, " ,;") }

// meantWord is which of a few words was meant.
func (d *decoder) meantWord(word string, candidates []string) []meaning {
	if len(word) > maxMissionName || !d.mayOffer() {
		return nil
	}
	for _, candidate := range candidates {
		if joined(candidate) == joined(word) {
			return []meaning{{candidate, true, ""}}
		}
	}
	var found []meaning
	for _, other := range synonyms[joined(word)] {
		if slices.Contains(candidates, other) {
			found = append(found, meaning{text: other})
		}
	}
	if len(found) > 0 {
		return found
	}
	return likely(words.Neighbours(word, candidates))
}

// maxNeighbours is how many words that are equally near are worth saying.
const maxNeighbours = 3

// likely are words that are near to what was written; none, where there are many.
func likely(near []string) []meaning {
	if len(near) > maxNeighbours {
		return nil
	}
	var found []meaning
	for _, word := range near {
		found = append(found, meaning{text: word})
	}
	return found
}

// meantBoolean is which of true and false was meant.
func meantBoolean(text string) []meaning {
	switch strings.ToLower(unpunctuated(text)) {
	case "yes", "on", "true":
		return []meaning{{"true", true, ""}}
	case "y", "t", "1":
		return []meaning{{"true", false, ""}}
	case "no", "off", "false":
		return []meaning{{"false", true, ""}}
	case "n", "f", "0":
		return []meaning{{"false", false, ""}}
	}
	return nil
}

// The ways to write a day that are not ISO 8601's: numbers in three orders, and the month
// in English.
var (
	yearFirst = regexp.MustCompile(`^([0-9]{4})(?:[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})|([0-9]{2})([0-9]{2}))(?:[T ][0-9:.Z+-]+)?$`)
	yearLast  = regexp.MustCompile(`^([0-9]{1,2})([-/. ]) ?([0-9]{1,2})[-/. ] ?([0-9]{4})$`)
	dayMonth  = regexp.MustCompile(`^([0-9]{1,2})(?:st|nd|rd|th)?[-. ] ?([A-Za-z]{3,9})\.?,?[- ]([0-9]{4})$`)
	monthDay  = regexp.MustCompile(`^([A-Za-z]{3,9})\.?[- ]([0-9]{1,2})(?:st|nd|rd|th)?,? ([0-9]{4})$`)
)

// meantDay is which day was meant. Where day and month may be either way round, it is
// both; with points between them the day comes first where points are used (from memory),
// which a person is to confirm.
func meantDay(text string) []meaning {
	text = unpunctuated(plainly(text))
	var found []meaning
	add := func(certain bool, year, month, day string) {
		y, _ := strconv.Atoi(year)
		m, _ := strconv.Atoi(month)
		n, _ := strconv.Atoi(day)
		iso := fmt.Sprintf("%04d-%02d-%02d", y, m, n)
		if _, err := time.Parse(time.DateOnly, iso); err != nil || y == 0 || slices.ContainsFunc(found, func(f meaning) bool { return f.text == iso }) {
			return
		}
		found = append(found, meaning{text: iso, certain: certain})
	}
	if p := yearFirst.FindStringSubmatch(text); p != nil {
		add(!strings.Contains(text, ":"), p[1], p[2]+p[4], p[3]+p[5])
	}
	if p := yearLast.FindStringSubmatch(text); p != nil {
		add(true, p[4], p[3], p[1])
		if p[2] != "." || len(found) == 0 {
			add(true, p[4], p[1], p[3])
		} else if n, _ := strconv.Atoi(p[1]); n <= 12 && p[1] != p[3] {
			found[0].certain = false
		}
	}
	if p := dayMonth.FindStringSubmatch(text); p != nil {
		add(true, p[3], monthOf(p[2]), p[1])
	}
	if p := monthDay.FindStringSubmatch(text); p != nil {
		add(true, p[3], monthOf(p[1]), p[2])
	}
	return found
}

// monthOf is the number of a month by its name or the first three letters of it, "0" for
// none.
func monthOf(name string) string {
	for m := time.January; m <= time.December; m++ {
		if full := m.String(); strings.EqualFold(name, full) || strings.EqualFold(name, full[:3]) || strings.EqualFold(name, "Sept") && m == time.September {
			return strconv.Itoa(int(m))
		}
	}
	return "0"
}

// meantWhole is what a whole number may mean that is written in another way.
func meantWhole(text string) []meaning {
	digits := strings.TrimPrefix(unpunctuated(plainly(text)), "+")
	if point := strings.IndexByte(digits, '.'); point > 0 {
		digits = strings.TrimRight(digits, "0")
		digits = strings.TrimSuffix(digits, ".")
	}
	zeros := strings.TrimLeft(digits, "0")
	if zeros == "" && digits != "" {
		zeros = "0"
	}
	if !wholeNumber.MatchString(zeros) {
		return nil
	}
	return []meaning{{zeros, zeros == digits, ""}} // with zeros before them, digits are those of eights to some programs
}

// offerList offers brackets around what stands where a list of so many entries is due: as
// many as commas or semicolons tell, else one.
func (d *decoder) offerList(n *node, least, most int) {
	if n.kind != scalarKind || n.at.File != d.file || !d.mayOffer() {
		return
	}
	var entries []string
	for _, entry := range strings.FieldsFunc(strings.Trim(n.text, "()[]{} "), func(r rune) bool { return r == ',' || r == ';' }) {
		if entry = strings.Trim(entry, " "); !yaml.IsPlain(entry) {
			return
		}
		entries = append(entries, entry)
	}
	list := "[" + strings.Join(entries, ", ") + "]"
	_, behind, ok := d.around(n.at, n.at)
	if !ok || len(entries) < max(least, 1) || len(entries) > most {
		return
	}
	if behind = strings.TrimLeft(behind, " "); behind != "" && behind[0] != '#' && (len(entries) > 1 || !strings.ContainsRune(",}", rune(behind[0]))) {
		return // within braces a comma ends the value: there are more entries than this
	}
	f := d.findings.pending
	if f.Rule == ruleWrongType {
		f.Remedy = listRemedy(list)
	}
	d.offer(f, !n.quoted && len(entries) == 1+strings.Count(n.text, ","), "write "+list, diag.Replace(n.at, list))
}
