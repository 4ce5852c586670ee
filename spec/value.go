// How the value of a key is read. A value knows three things: how it is spoken
// of in the reference, what JSON Schema describes it, and how to read a node
// into the field of the Mission that it is bound to.
package spec

import (
	"cmp"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"merestone/internal/diag"
	"merestone/internal/geodesy"
	"merestone/internal/quantity"
	"merestone/internal/words"
)

// value describes and reads what may be written behind a key.
type value struct {
	words  string                // "length, more than 0 m, at most 20 m"
	schema func() map[string]any // JSON Schema of the value
	keys   []key                 // of a block, or of the blocks of a list or of named blocks
	listed bool                  // a list of such blocks
	named  bool                  // blocks under names that the author chooses
	read   func(d *decoder, n *node, path string)
}

// key is one key of a block.
type key struct {
	name     string
	required bool
	usual    string // what holds if it is not written
	meaning  string // one line for the reference
	how      string // how to find the value, where the meaning does not say it
	asked    bool   // a new mission has it, though it need not be written
	value    value
}

// by says how the value of a key is found.
func (k key) by(how string) key {
	k.how = how
	return k
}

// ask has a new mission ask for a key that need not be written: nearly every mission has
// it, or what holds without it would flatter the site, and nothing would tell.
func (k key) ask() key {
	k.asked = true
	return k
}

func need(name string, v value, meaning string) key {
	return key{name: name, required: true, value: v, meaning: meaning}
}

func may(name string, v value, usual, meaning string) key {
	return key{name: name, value: v, usual: usual, meaning: meaning}
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// block is a mapping with the given keys and no others.
func block(keys []key) value {
	return value{words: "block of keys", keys: keys, schema: func() map[string]any { return blockSchema(keys) }, read: func(d *decoder, n *node, path string) {
		d.readBlock(n, path, keys)
	}}
}

func (d *decoder) readBlock(n *node, path string, keys []key) {
	if n.gap() {
		d.leftOpen(n, path, block(keys).due())
		d.unread[path] = true
		return
	}
	if n.kind != mappingKind {
		d.wrongType(n, path, "a block of keys ("+strings.Join(keyNames(keys), ", ")+")", cmp.Or(noSpace(n, keys), asBlock(keys)))
		d.unread[path] = true
		return
	}
	n = d.rejoined(n, path)
	d.doubtNode(n, path)
	written := map[string]bool{}
	var strange []*node // keys that look like none of these, in a row
	strangers := slices.Clone(strange)
	for _, e := range n.entries {
		k, known := findKey(keys, e.key.text)
		if !known {
			meant, ok := d.nearest(e.key.text, keyNames(keys))
			if !ok {
				strange, strangers = append(strange, e.key), append(strangers, e.key)
				continue
			}
			// What follows is read as the key that was probably meant, so that
			// one slip is not also reported as a missing key.
			if written[meant] || slices.ContainsFunc(n.entries, func(e entry) bool { return e.key.text == meant }) {
				f := d.unknownKeys([]*node{e.key}, path, "take it out: "+meant+" is there, too")
				d.takeOutKey(f, false, e)
				d.doubt(join(path, meant))
				continue
			}
			f := d.unknownKeys([]*node{e.key}, path, "write "+meant)
			d.offer(f, joined(meant) == joined(e.key.text), f.Remedy, diag.Replace(e.key.at, meant))
			d.doubt(join(path, meant))
			k, _ = findKey(keys, meant)
		}
		d.strangeKeys(strange, path, keys)
		strange = nil
		d.doubts.told() // at the end, when all that is written is known
		written[k.name] = true
		at := e.value.at
		if e.value.kind != scalarKind {
			at = e.key.at
		}
		d.places[join(path, k.name)] = at
		if e.value.kind == nullKind && !k.value.listed {
			remedy := "write the value behind the colon: " + k.value.due()
			if !k.required {
				remedy += "; or take the key out"
			}
			f := d.fail(ruleEmptyValue, e.key.at, remedy, "%s has no value", keyOf(join(path, k.name)))
			if !k.required {
				d.takeOutKey(f, false, e)
			}
			d.doubt(join(path, k.name))
			continue
		}
		d.readKey(k, e.value, join(path, k.name))
		d.doubtRead(join(path, k.name))
	}
	d.strangeKeys(strange, path, keys)
	d.doubtStrangers(strangers, path, keys, written)
	if len(strange) > 0 && len(written) == 0 {
		return // this is another block, and has what that needs
	}
	for _, k := range keys {
		if k.required && !written[k.name] {
			d.missing(path, k.name, k.value.due()+": "+k.meaning)
		}
	}
}

// asBlock is how a block is written that has the keys which must be there.
func asBlock(keys []key) string {
	var parts []string
	for _, k := range keys {
		if k.required {
			parts = append(parts, k.name+": "+Gap)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "write {" + strings.Join(parts, ", ") + "}, with the values in place of " + Gap
}

// readKey reads the value of a key. What is reported meanwhile may be about it.
func (d *decoder) readKey(k key, n *node, path string) {
	outer := d.reading
	d.reading = k
	k.value.read(d, n, path)
	d.reading = outer
}

func findKey(keys []key, name string) (key, bool) {
	for _, k := range keys {
		if k.name == name {
			return k, true
		}
	}
	return key{}, false
}

func keyNames(keys []key) []string {
	names := make([]string, len(keys))
	for i, k := range keys {
		names[i] = k.name
	}
	return names
}

// due says what is to be written: of a block, the keys that it needs.
func (v value) due() string {
	if len(v.keys) == 0 || v.listed {
		return v.words
	}
	var needed []string
	for _, k := range v.keys {
		if k.required {
			needed = append(needed, k.name)
		}
	}
	return strings.TrimRight(v.words+" "+strings.Join(needed, ", "), " ") // a mark needs none by itself
}

// missing reports a key that should have been there.
func (d *decoder) missing(path, name, meaning string) {
	in := any(keyOf(path))
	if path == "" {
		in = "the mission"
	}
	d.fail(ruleMissingKey, d.where(path), fmt.Sprintf("add %s (%s)", name, meaning), "%s has no key %s", in, name)
	d.doubt(join(path, name))
}

// where is the place of a path, or of the nearest block around it.
func (d *decoder) where(path string) diag.Position {
	return (&Mission{asWritten: asWritten{places: d.places}}).Where(path)
}

// strangeKeys reports keys in a row that look like none of the block's, and where
// they belong. Those that all belong in one other place, or nowhere, came there
// together.
func (d *decoder) strangeKeys(strange []*node, path string, keys []key) {
	if len(strange) == 0 {
		return
	}
	here := "the keys here are " + strings.Join(keyNames(keys), ", ")
	shared, anywhere := d.homesOf(strange[0].text), false
	for _, key := range strange[:min(len(strange), maxSearched)] {
		homes := d.homesOf(key.text)
		anywhere = anywhere || len(homes) > 0
		shared = slices.DeleteFunc(shared, func(home string) bool { return !slices.Contains(homes, home) })
	}
	switch {
	case len(shared) > 1 && len(strange) == 1:
		d.unknownKeys(strange, path, "it belongs under one of "+strings.Join(shared, ", "))
	case len(shared) == 1 && len(strange) == 1:
		d.unknownKeys(strange, path, "put it under "+shared[0])
	case len(shared) == 1:
		d.unknownKeys(strange, path, "put them under "+shared[0])
	case !anywhere:
		d.unknownKeys(strange, path, here)
	default:
		for _, key := range strange {
			d.strangeKeys([]*node{key}, path, keys)
		}
	}
}

// homesOf are the blocks that have a key of this name.
func (d *decoder) homesOf(name string) []string {
	if d.homes == nil {
		d.homes = map[string][]string{}
		walk(missionKeys(&Mission{}), "", func(path string, k key) {
			if home := parent(path); home != "" {
				d.homes[k.name] = append(d.homes[k.name], strings.TrimSuffix(home, "[]"))
			}
		})
	}
	return slices.Clone(d.homes[name])
}

// unknownKeys reports keys that the block does not have.
func (d *decoder) unknownKeys(at []*node, path, remedy string) *diag.Finding {
	in := any(keyOf(path))
	if path == "" {
		in = "a mission"
	}
	if len(at) == 1 {
		return d.fail(ruleUnknownKey, at[0].at, remedy, "%s has no key %s", in, quote(at[0].text))
	}
	return d.fail(ruleUnknownKey, at[0].at, remedy, "%s has no keys %s", in, quoted(at))
}

func (d *decoder) wrongType(n *node, path, due, remedy string, meanings ...meaning) {
	switch {
	case n.kind == brokenKind:
		d.doubt(path) // reported already
		return
	case n.gap():
		d.leftOpen(n, path, d.reading.value.due())
		return
	}
	f := d.fail(ruleWrongType, n.at, remedy, "%s should be %s, and is %s", keyOf(path), due, n.what())
	if len(meanings) > 0 {
		d.offerMeanings(f, n, meanings, remedy)
	}
}

// single is a value in one piece; read is given its text. Of anything
// else it says what is due, with the remedy.
func single(words string, schema func() map[string]any, due, remedy string, read func(d *decoder, n *node, path, text string)) value {
	return value{words: words, schema: schema, read: func(d *decoder, n *node, path string) {
		if n.kind != scalarKind {
			d.wrongType(n, path, due, remedy)
			return
		}
		if n.gap() {
			d.leftOpen(n, path, words)
			return
		}
		read(d, n, path, n.text)
	}}
}

// optional reads into a field that is nil as long as nothing was written.
func optional[T any](field **T, of func(*T) value) value {
	target := new(T)
	v := of(target)
	read := v.read
	v.read = func(d *decoder, n *node, path string) {
		*field = target
		read(d, n, path)
	}
	return v
}

// bounds on a quantity. With open, the low end itself is out of bounds.
type bounds[T any] struct {
	low, high T
	open      bool
}

func over[T any](low, high T) bounds[T] { return bounds[T]{low, high, true} }
func from[T any](low, high T) bounds[T] { return bounds[T]{low, high, false} }

// exact is any of the quantities: whole numbers of a small unit.
type exact interface {
	~int64
	String() string
	Dimension() quantity.Dimension
}

func (b bounds[T]) words(show func(T) string) string {
	if b.open {
		return fmt.Sprintf("more than %s, at most %s", show(b.low), show(b.high))
	}
	return fmt.Sprintf("from %s to %s", show(b.low), show(b.high))
}

// amount is a number with a unit.
func amount[T exact](field *T, b bounds[T]) value {
	dimension, within := T(0).Dimension(), b.words(T.String)
	words := dimension.Name + ", " + within
	schema := func() map[string]any { return quantitySchema(dimension, int64(b.low) >= 0) }
	return single(words, schema, "a "+dimension.Name, "write a number and a unit, such as 1.5 "+dimension.Usual, func(d *decoder, n *node, path, text string) {
		number, err := quantity.Parse(text, dimension)
		if err != nil {
			d.badQuantity(n, path, dimension, err, func(got int64) bool {
				return got >= int64(b.low) && got <= int64(b.high) && (!b.open || got != int64(b.low))
			})
			return
		}
		got := T(number)
		if got < b.low || got > b.high || b.open && got == b.low {
			d.fail(ruleOutOfRange, n.at, "", "%s is %s; it must be %s", keyOf(path), got, within)
			return
		}
		*field = got
	})
}

// plainly is a text with spaces, minus signs and quotation marks that are pasted from
// elsewhere made plain, or left out.
func plainly(text string) string {
	return strings.Trim(strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Zs, r):
			return ' '
		case unicode.Is(unicode.Cf, r), strings.ContainsRune("‘’“”„‚«»", r):
			return -1
		case strings.ContainsRune("−–‐‑", r):
			return '-'
		}
		return r
	}, text), " ")
}

var bareNumber = regexp.MustCompile(`^[+-]?[0-9]*\.?[0-9]*$`)

func (d *decoder) badQuantity(n *node, path string, dimension quantity.Dimension, err error, fits func(int64) bool) {
	rule, remedy := ruleBadQuantity, ""
	var fault *quantity.Fault
	if errors.As(err, &fault) {
		remedy = fault.Remedy
	}
	if n.text != "" && bareNumber.MatchString(n.text) {
		rule = ruleNoUnit
	}
	f := d.fail(rule, n.at, remedy, "%s: %v", keyOf(path), err)
	meant := d.meantQuantity(n.text, dimension, fits)
	if rule != ruleNoUnit || len(meant) > 0 {
		d.offerMeanings(f, n, meant, remedy)
	} else if meant = withUnits(n.text, dimension, fits); len(meant) > 0 { // the usual unit is none of its key's
		d.offerMeanings(f, n, meant, "")
		remedy = f.Remedy + " (units: " + strings.Join(dimension.Units(), ", ") + ")"
	}
	if rule == ruleNoUnit {
		f.Remedy = remedy // which lists the units, of which one was meant
	}
}

// withUnits are a bare number with each unit in which its key holds it.
func withUnits(number string, dimension quantity.Dimension, fits func(int64) bool) (meant []meaning) {
	for _, unit := range dimension.Units() {
		text := number + " " + unit
		if got, err := quantity.Parse(text, dimension); err == nil && fits(got) {
			meant = append(meant, meaning{text, false, ""})
		}
	}
	return meant
}

// maybe is an amount that need not be written.
func maybe[T exact](field **T, b bounds[T]) value {
	return optional(field, func(to *T) value { return amount(to, b) })
}

func latitude(field *geodesy.Coordinate) value {
	return coordinate(field, "latitude", 90, "NS", geodesy.ParseLatitude, geodesy.MeantLatitude)
}

func longitude(field *geodesy.Coordinate) value {
	return coordinate(field, "longitude", 180, "EW", geodesy.ParseLongitude, geodesy.MeantLongitude)
}

// coordinate is read from the text as it was written, quoted or not.
func coordinate(field *geodesy.Coordinate, name string, limit int, hemispheres string, parse func(string) (geodesy.Coordinate, error), meant func(string) []geodesy.Meaning) value {
	words := fmt.Sprintf("%s: decimal degrees from -%d to %d, or degrees, minutes, seconds and %s", name, limit, limit, strings.Join(strings.Split(hemispheres, ""), " or "))
	schema := func() map[string]any { return coordinateSchema(limit, hemispheres) }
	return single(words, schema, "a "+name, "write decimal degrees, such as 45.3012", func(d *decoder, n *node, path, text string) {
		got, err := parse(text)
		if err != nil {
			f := d.fail(ruleBadCoordinate, n.at, "", "%s: %v", keyOf(path), err)
			d.offerMeanings(f, n, d.meantCoordinate(text, meant), "")
			return
		}
		*field = got
	})
}

// oneOf is one of a few words.
func oneOf[T ~string](field *T, options ...T) value {
	return oneWord(field, func(option T) string { return string(option) }, options...)
}

// oneWord is one of a few things that are written as words.
func oneWord[T any](field *T, word func(T) string, options ...T) value {
	names := make([]string, len(options))
	for i, option := range options {
		names[i] = word(option)
	}
	all := strings.Join(names, ", ")
	return single("one of "+all, fixedSchema("enum", names), "one of "+all, "", func(d *decoder, n *node, path, text string) {
		i := slices.Index(names, text)
		if i < 0 {
			f := d.fail(ruleUnknownWord, n.at, "", "%s is %s; it must be one of %s", keyOf(path), quote(text), all)
			d.offerMeanings(f, n, d.meantWord(text, names), "")
			return
		}
		*field = options[i]
	})
}

func boolean(field *bool) value {
	return single("true or false", fixedSchema("type", "boolean"), "true or false", "", func(d *decoder, n *node, path, text string) {
		switch {
		case !n.quoted && (text == "true" || text == "false"):
			*field = text == "true"
		default:
			meant := meantBoolean(text)
			if n.quoted && len(meant) > 0 {
				meant[0].why = "without quotation marks"
			}
			d.wrongType(n, path, "true or false", "", meant...)
		}
	})
}

var wholeNumber = regexp.MustCompile(`^(0|[1-9][0-9]{0,8})$`)

// whole is a whole number without a unit.
func whole(field *int, b bounds[int]) value {
	within := b.words(strconv.Itoa)
	schema := func() map[string]any { return integerSchema(b.low, b.high) }
	return single("whole number "+within, schema, "a whole number", "", func(d *decoder, n *node, path, text string) {
		switch {
		case n.quoted && wholeNumber.MatchString(text):
			d.wrongType(n, path, "a whole number", "", meaning{text, true, "without quotation marks"})
			return
		case !wholeNumber.MatchString(text):
			d.wrongType(n, path, "a whole number "+within, "write it in plain decimal digits, without leading zeros or a unit", meantWhole(text)...)
			return
		}
		got, _ := strconv.Atoi(text) // at most nine digits: cannot fail
		if got < b.low || got > b.high {
			d.fail(ruleOutOfRange, n.at, "", "%s is %d; it must be %s", keyOf(path), got, within)
			return
		}
		*field = got
	})
}

// oneNumber is one of a few whole numbers; why not others ends the refusal.
func oneNumber(field *int, why string, options ...int) value {
	words := make([]string, len(options))
	for i, option := range options {
		words[i] = strconv.Itoa(option)
	}
	all := strings.Join(words, ", ")
	return value{words: "one of " + all, schema: fixedSchema("enum", options), read: func(d *decoder, n *node, path string) {
		got := -1
		whole(&got, from(0, 999_999_999)).read(d, n, path)
		switch {
		case got < 0: // told
		case slices.Contains(options, got):
			*field = got
		default:
			d.fail(ruleOutOfRange, n.at, "", "%s is %s; it must be one of %s%s", keyOf(path), n.text, all, why)
		}
	}}
}

var isoDay = regexp.MustCompile(`^([0-9]{4})-([0-9]{2})-([0-9]{2})$`)

// day is a calendar day as ISO 8601 writes it (extended format, YYYY-MM-DD).
func day(field *Date) value {
	schema := fixedSchema("type", "string", "pattern", isoDay.String())
	const remedy = "write it as YYYY-MM-DD, such as 2026-05-10"
	return single("calendar day, YYYY-MM-DD", schema, "a calendar day", remedy, func(d *decoder, n *node, path, text string) {
		if !isoDay.MatchString(text) {
			f := d.fail(ruleBadDate, n.at, remedy, "%s is %s, which is not a calendar day", keyOf(path), quote(text))
			d.offerMeanings(f, n, meantDay(text), remedy)
			return
		}
		got, err := time.Parse(time.DateOnly, text)
		if err != nil || got.Year() == 0 {
			d.fail(ruleBadDate, n.at, "", "%s is %s, and the calendar has no such day", keyOf(path), text)
			return
		}
		*field = Date{Year: got.Year(), Month: int(got.Month()), Day: got.Day()}
	})
}

// named is a name that the author chooses.
func named(field *string, what string, longest int) value {
	words := fmt.Sprintf("name, at most %d characters", longest)
	return single(words, func() map[string]any { return nameSchema(longest) }, "a name", "", func(d *decoder, n *node, _, text string) {
		if d.goodName(n, what, text, longest) {
			*field = text
		}
	})
}

func (d *decoder) goodName(n *node, what, text string, longest int) bool {
	message, remedy := nameFault(what, text, longest)
	if message.Format == "" {
		return true
	}
	d.fail(ruleBadName, n.at, remedy, "%s", message)
	return false
}

// opener is what opens a part of the drive path. Whether it is there is asked when all
// holds are known.
func opener(field *string) value {
	const words = "drive_enable, watchdog or the name of a hold"
	return single(words, refSchema, words, "", func(_ *decoder, _ *node, _, text string) { *field = text })
}

// maxText is the longest text that the author writes in his own words: what goes into a
// comment of the header, on a line.
const maxText = 120

// freeText is a line of the author's own words, which may end up in a comment in C.
func freeText(field *string) value {
	words := fmt.Sprintf("text, at most %d characters", maxText)
	schema := fixedSchema("type", "string", "pattern", textPattern, "minLength", 1, "maxLength", maxText)
	return single(words, schema, "a text", "", func(d *decoder, n *node, path, text string) {
		message, remedy := textFault(path, text)
		if message.Format != "" {
			d.fail(ruleBadName, n.at, remedy, "%s", message)
			return
		}
		*field = text
	})
}

// markRef is the name of a mark that is written elsewhere.
func markRef(field *string) value {
	return single("name of a mark", refSchema, "the name of a mark", "", func(d *decoder, n *node, path, text string) {
		*field = text
		d.references = append(d.references, called{name: text, at: n.at, path: path})
	})
}

// fileName is the name of a file in the folder of the mission or below.
func fileName(field *string) value {
	v := single("file name, relative to the mission file", fixedSchema("type", "string", "minLength", 1), "a file name", "write the file name of a CSV file", func(d *decoder, n *node, path, text string) {
		if text == "" {
			d.fail(ruleBadFile, n.at, "write the name of a CSV file, or take the key out", "%s names no file", keyOf(path))
		}
		*field = text
	})
	read := v.read
	v.read = func(d *decoder, n *node, path string) {
		read(d, n, path)
		d.marksLost = d.marksLost || *field == "" // that it would have held
	}
	return v
}

// listOf is a list of values of one kind.
func listOf[T any](field *[]T, least, most int, described string, of func(*T) value) value {
	sample := of(new(T))
	schema := func() map[string]any { return listSchema(sample.schema(), least, most) }
	return value{words: described, keys: sample.keys, listed: true, schema: schema, read: func(d *decoder, n *node, path string) {
		if n.kind != listKind && n.kind != nullKind {
			remedy := listRemedy("[" + example(n) + "]")
			if n.kind == mappingKind && len(sample.keys) > 0 {
				remedy = "put a dash and a space before each entry"
			}
			d.wrongType(n, path, "a list", remedy)
			d.offerList(n, least, most)
			return
		}
		if count := len(n.items); count == 1 && count < least && strings.Contains(n.items[0].text, ";") {
			// Which are several: that is told where it stands, since no name has a semicolon.
		} else if count < least || count > most {
			d.fail(ruleOutOfRange, d.where(path), "", "%s has %s; it must have from %d to %d", keyOf(path), words.Count(count, "entry", "entries"), least, most)
			if count > most {
				return
			}
		}
		items := make([]T, len(n.items))
		for i, item := range n.items {
			at := fmt.Sprintf("%s[%d]", path, i)
			d.places[at] = item.at
			of(&items[i]).read(d, item, at)
			d.doubtRead(at)
		}
		*field = items
	}}
}

func listRemedy(list string) string {
	return "write the entries in brackets, with commas between them: " + list
}

// oneOrMore is a block of keys, or a list of such blocks. Places have the entry of the
// one block as the first of a list.
func oneOrMore[T any](field *[]T, most int, keys func(*T) []key) value {
	sample := block(keys(new(T)))
	list := listOf(field, 1, most, "list of blocks of keys", func(item *T) value { return block(keys(item)) })
	one := func(d *decoder, n *node, path string) {
		var item T
		own := keys(&item)
		d.readBlock(n, path, own)
		first := path + "[0]"
		d.places[first] = d.places[path]
		for _, k := range own {
			if at, written := d.places[join(path, k.name)]; written {
				d.places[join(first, k.name)] = at
			}
		}
		*field = []T{item}
	}
	return value{words: "block of keys, or list of such blocks", keys: list.keys, listed: true,
		schema: func() map[string]any { return anyOf(sample.schema(), listSchema(sample.schema(), 1, most)) },
		read: func(d *decoder, n *node, path string) {
			switch n.kind {
			case listKind:
				list.read(d, n, path)
			case nullKind:
				d.fail(ruleEmptyValue, d.where(path), "write the value behind the colon: "+sample.due(), "%s has no value", keyOf(path))
			default:
				one(d, n, path)
			}
		}}
}

// example is what was written for a list, as the entries of one, where it looks so.
func example(n *node) string {
	text := n.text
	if n.kind == mappingKind {
		var names []string
		for _, e := range n.entries {
			if e.value.kind != nullKind {
				return "A, B"
			}
			names = append(names, e.key.text)
		}
		text = strings.Join(names, ",")
	}
	if len(text) >= 40 {
		return "A, B"
	}
	entries := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,;()[]{}", r) })
	entries = slices.DeleteFunc(entries, func(e string) bool { return slices.Contains([]string{"-", "–", "->", "→", ">"}, e) })
	if len(entries) == 0 {
		return "A, B"
	}
	return strings.Join(entries, ", ")
}
