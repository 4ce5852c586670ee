// Reading and writing latitudes and longitudes as people write them.
//
// Two notations are read, both exactly, never through a float:
//
//	45.3012   -6.12340000   +45.3012      decimal degrees, north and east positive
//	45°18'04.4412"N   45°18.07402'N   45°N   degrees, minutes, seconds and a hemisphere
//
// The second is the notation for people of ISO 6709, annex D, items f) to h) as
// replaced by ISO 6709:2008/Cor.1:2009: the symbols °, ' and " (hex B0, 27, 22)
// follow their values, no spaces, the hemisphere letter comes last and takes the
// place of a sign. The last number may carry a decimal fraction. The typographic
// ′ and ″ are read too; only ' and " are written.
package geodesy

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
	"unicode/utf8"
)

// Coordinate is a latitude or longitude as it was written.
type Coordinate struct {
	// Value is the angle, north or east positive. It is exact if it was written
	// with at most 9 decimals of a degree; otherwise it is rounded half to even.
	Value Nanodegree
	// Resolution is the value of one unit of the last written digit, rounded up
	// to a whole nanodegree: 45.3012 has 100000, 45°18'04.4412"N has 28
	// (1e-4 second is 27.8 nanodegrees). It tells how coarse the writing is,
	// not how good the measurement was.
	Resolution Nanodegree
}

// Decimal writes the coordinate in decimal degrees, with as many decimals as it was written
// with, zeros at the end among them, since these tell how coarse it is; with nine where it was
// written otherwise.
func (c Coordinate) Decimal() string {
	decimals, step := 9, Nanodegree(1)
	for ; step < c.Resolution && step < Degree; step *= 10 {
		decimals--
	}
	if step != c.Resolution { // degrees, minutes and seconds
		decimals = 9
	}
	whole, fraction, _ := strings.Cut(c.Value.String(), ".")
	if len(fraction) < decimals {
		fraction += strings.Repeat("0", decimals-len(fraction))
	}
	if fraction == "" {
		return whole
	}
	return whole + "." + fraction
}

// Written writes the coordinate as Decimal does, or, where it was written as degrees and
// minutes or with seconds, in that notation again: decimals would hide how coarse it is. The
// letters are those of its axis, NS or EW.
//
// The last digit of minutes or seconds is worth so much more than the nanodegree to which the
// value was rounded that rounding to it gives the digits back that were written.
func (c Coordinate) Written(letters string) string {
	for decimals := range 6 { // of a second
		if c.Resolution == resolutionOf(3600, decimals) {
			whole, fraction := c.parts(3600, decimals)
			return fmt.Sprintf("%d°%02d'%02d%s\"%s", whole/3600, whole/60%60, whole%60, fraction, c.letter(letters))
		}
	}
	for decimals := range 8 { // of a minute
		if c.Resolution == resolutionOf(60, decimals) {
			whole, fraction := c.parts(60, decimals)
			return fmt.Sprintf("%d°%02d%s'%s", whole/60, whole%60, fraction, c.letter(letters))
		}
	}
	return c.Decimal()
}

// resolutionOf is that of a part of a degree with so many decimals, rounded up.
func resolutionOf(parts int64, decimals int) Nanodegree {
	units := parts
	for range decimals {
		units *= 10
	}
	return (Degree + Nanodegree(units) - 1) / Nanodegree(units)
}

// parts is the magnitude in minutes or seconds, with so many decimals and the point before.
func (c Coordinate) parts(of int64, decimals int) (whole int64, fraction string) {
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil)
	units := new(big.Int).SetUint64(c.Value.magnitude())
	units.Mul(units, big.NewInt(of)).Mul(units, scale)
	units.Add(units, big.NewInt(int64(Degree)/2)).Div(units, big.NewInt(int64(Degree)))
	rest := new(big.Int)
	units.DivMod(units, scale, rest)
	if decimals > 0 {
		fraction = fmt.Sprintf(".%0*d", decimals, rest.Int64())
	}
	return units.Int64(), fraction
}

func (c Coordinate) letter(letters string) string {
	if c.Value < 0 {
		return letters[1:]
	}
	return letters[:1]
}

// ParseLatitude reads a latitude, north positive, from -90 to 90 degrees. The
// error says what is wrong and shows a form that would be read.
func ParseLatitude(text string) (Coordinate, error) { return latitudeAxis.parse(text) }

// ParseLongitude reads a longitude, east positive, from -180 to 180 degrees,
// both ends included. The error says what is wrong and shows a form that would
// be read.
func ParseLongitude(text string) (Coordinate, error) { return longitudeAxis.parse(text) }

// FormatLatitudeDMS writes a latitude as degrees, minutes and seconds with four
// decimals and N or S: 45°18'04.4412"N. One unit of the last digit is 27.8
// nanodegrees (3.1 mm), so reading it back gives the latitude to within 14
// nanodegrees (1.6 mm).
func FormatLatitudeDMS(latitude Nanodegree) string { return latitudeAxis.formatDMS(latitude) }

// FormatLongitudeDMS writes a longitude as FormatLatitudeDMS does, with E or W.
func FormatLongitudeDMS(longitude Nanodegree) string { return longitudeAxis.formatDMS(longitude) }

// axis is what differs between latitude and longitude.
type axis struct {
	name      string
	positive  byte // hemisphere letter of positive values
	negative  byte
	limit     int64 // degrees
	decimal   string
	dms       string
	otherName string
	others    string // hemisphere letters of the other axis
}

var (
	latitudeAxis = axis{
		name: "latitude", positive: 'N', negative: 'S', limit: 90,
		decimal: `45.3012`, dms: `45°18'04.4412"N`, otherName: "longitude", others: "EW",
	}
	longitudeAxis = axis{
		name: "longitude", positive: 'E', negative: 'W', limit: 180,
		decimal: `6.1234`, dms: `6°07'24.2400"E`, otherName: "latitude", others: "NS",
	}
)

// maxAngleLength is the longest text read, in bytes. The longest useful one,
// 179°59'59.123456789"W with typographic marks, has 26.
const maxAngleLength = 64

func (a axis) parse(text string) (Coordinate, error) {
	coordinate, err := a.read(text)
	if err != nil {
		return Coordinate{}, fmt.Errorf("%s %q: %w", a.name, shorten(text), err)
	}
	return coordinate, nil
}

func (a axis) read(text string) (Coordinate, error) {
	switch {
	case text == "":
		return Coordinate{}, fmt.Errorf("nothing is written; write decimal degrees (%s) or degrees, minutes, seconds (%s)", a.decimal, a.dms)
	case len(text) > maxAngleLength:
		return Coordinate{}, fmt.Errorf("longer than %d bytes; nine decimals of a degree are a tenth of a millimetre", maxAngleLength)
	case !utf8.ValidString(text):
		return Coordinate{}, errors.New("not valid UTF-8")
	}
	if err := a.refuseLookalikes(text); err != nil {
		return Coordinate{}, err
	}

	body, signed, negative := text, false, false
	if text[0] == '+' || text[0] == '-' {
		body, signed, negative = text[1:], true, text[0] == '-'
	}
	body, letter := a.cutHemisphere(body)
	if letter != 0 {
		if strings.IndexByte(a.others, letter) >= 0 {
			return Coordinate{}, fmt.Errorf("%c is a hemisphere of a %s; a %s ends in %c or %c (are the two swapped?)",
				letter, a.otherName, a.name, a.positive, a.negative)
		}
		if signed {
			return Coordinate{}, fmt.Errorf("has both a sign and %c; write one of them: %s or %s", letter, body+string(letter), a.signedForm(letter))
		}
		negative = letter == a.negative
	}

	parts, err := a.split(body, letter)
	if err != nil {
		return Coordinate{}, err
	}
	return a.value(parts, negative)
}

// lookalikes are characters easily mistaken for those that are read.
var lookalikes = []struct{ wrong, right, what string }{
	{"\u2212", "-", "a typographic minus sign"},
	{"\u2013", "-", "a dash"},
	{"º", "°", "an ordinal sign in place of the degree sign"},
	{"˚", "°", "a ring in place of the degree sign"},
	{"’", "'", "a quotation mark in place of the minute sign"},
	{"‘", "'", "a quotation mark in place of the minute sign"},
	{"”", `"`, "a quotation mark in place of the second sign"},
	{"“", `"`, "a quotation mark in place of the second sign"},
	{"''", `"`, "two minute signs in place of the second sign"},
	{"′′", `"`, "two minute signs in place of the second sign"},
	{",", ".", "a comma in place of the decimal point"},
	{" ", "", "a space"},
	{"\u00a0", "", "a space"},
	{"\t", "", "a tab"},
}

// refuseLookalikes names the first character that is easily mistaken for one
// that is read. If putting all of them right makes the text readable, the
// message shows the result, else the two forms that are read.
func (a axis) refuseLookalikes(text string) error {
	if strings.Trim(text, "0123456789.+-") == "" {
		return nil // as receivers write it, hundreds of thousands of times
	}
	what, fixed := "", text
	for _, pair := range lookalikes {
		if what == "" && strings.Contains(text, pair.wrong) {
			what = pair.what
		}
		fixed = strings.ReplaceAll(fixed, pair.wrong, pair.right)
	}
	if what == "" {
		return nil
	}
	// Numbers apart are not one number: "45 18" must not be offered as 4518.
	if _, err := a.read(fixed); err != nil || spaceBetweenDigits(text) {
		fixed = a.decimal + " or " + a.dms
	}
	return fmt.Errorf("has %s; write %s", what, fixed)
}

func spaceBetweenDigits(text string) bool {
	fields := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\t' || r == '\u00a0' })
	for i := 1; i < len(fields); i++ {
		before, after := fields[i-1], fields[i]
		if countDigits(before[len(before)-1:]) == 1 && countDigits(after) > 0 {
			return true
		}
	}
	return false
}

// cutHemisphere takes a trailing hemisphere letter off. Letters of both axes are
// taken, so that a swapped pair can be named; letter is 0 if there is none.
func (a axis) cutHemisphere(text string) (rest string, letter byte) {
	if text == "" {
		return text, 0
	}
	switch last := text[len(text)-1]; last {
	case 'N', 'S', 'E', 'W':
		return text[:len(text)-1], last
	}
	return text, 0
}

// letterOr is the letter that was written, or the positive one if none was.
func (a axis) letterOr(letter byte) byte {
	if letter == 0 {
		return a.positive
	}
	return letter
}

func (a axis) signedForm(letter byte) string {
	if letter == a.negative {
		return "-" + a.decimal
	}
	return a.decimal
}

// part is one written number: its digits with the point taken out, and how many
// of them stood after the point.
type part struct {
	digits   string
	decimals int
}

// split cuts an unsigned angle without its letter into one to three numbers.
func (a axis) split(body string, letter byte) ([]part, error) {
	var parts []part
	rest := body
	marks := []struct{ name, ascii, typographic string }{
		{"degrees", "°", "°"}, {"minutes", "'", "′"}, {"seconds", `"`, "″"},
	}
	for i, mark := range marks {
		number, after := cutNumber(rest)
		if number == "" {
			return nil, a.unreadable(body, rest)
		}
		if i == 0 && letter == 0 && after == "" { // decimal degrees
			return []part{readPart(number)}, nil
		}
		after, found := cutMark(after, mark.ascii, mark.typographic)
		if !found {
			if after == "" {
				return nil, fmt.Errorf("has no %s after the %s; write %s%s%c", mark.ascii, mark.name, body, mark.ascii, a.letterOr(letter))
			}
			return nil, a.unreadable(body, after)
		}
		p := readPart(number)
		if len(parts) > 0 && parts[len(parts)-1].decimals > 0 {
			return nil, fmt.Errorf("only the last number may have decimals; write %s", a.dms)
		}
		if i > 0 && len(p.digits)-p.decimals > 2 {
			return nil, fmt.Errorf("%s %s have more than two digits before the point; they run from 0 to below 60", mark.name, number)
		}
		parts = append(parts, p)
		rest = after
		if rest == "" {
			break
		}
	}
	if rest != "" {
		return nil, a.unreadable(body, rest)
	}
	if letter == 0 {
		return nil, fmt.Errorf("has no hemisphere; end it in %c or %c, without a sign: %s%c", a.positive, a.negative, body, a.positive)
	}
	return parts, nil
}

// unreadable says where reading stopped, and guesses at what was meant.
func (a axis) unreadable(body, rest string) error {
	if rest == "" {
		return fmt.Errorf("a number is missing; write %s or %s", a.decimal, a.dms)
	}
	r, _ := utf8.DecodeRuneInString(rest)
	switch {
	case (r == 'e' || r == 'E') && rest != body:
		return fmt.Errorf("an exponent is not read; write the degrees out: %s", a.decimal)
	case strings.ContainsRune("NSEW", r) && countDigits(rest[1:]) > 0:
		return fmt.Errorf("the hemisphere letter %c comes last: %s", r, a.dms)
	case strings.ContainsRune("nsew", r) && len(rest) == 1:
		return fmt.Errorf("write the hemisphere as a capital: %c", r-'a'+'A')
	case r == '.' && rest == body:
		return errors.New("write a digit before the point: 0" + body)
	case r == '.':
		return errors.New("the point wants a digit on both sides, and only one point a number")
	case r == '+' || r == '-':
		return fmt.Errorf("a sign comes once, first: -%s", a.decimal)
	}
	return fmt.Errorf("%q is not read; write %s or %s", string(r), a.decimal, a.dms)
}

// cutNumber takes a leading "digits" or "digits.digits" off; number is empty if
// there is none.
func cutNumber(text string) (number, rest string) {
	whole := countDigits(text)
	if whole == 0 {
		return "", text
	}
	if whole == len(text) || text[whole] != '.' {
		return text[:whole], text[whole:]
	}
	fraction := countDigits(text[whole+1:])
	if fraction == 0 {
		return text[:whole], text[whole:] // the point stays: it has no digits
	}
	end := whole + 1 + fraction
	return text[:end], text[end:]
}

func countDigits(text string) int {
	n := 0
	for n < len(text) && text[n] >= '0' && text[n] <= '9' {
		n++
	}
	return n
}

func cutMark(text, ascii, typographic string) (rest string, found bool) {
	if rest, found = strings.CutPrefix(text, ascii); found {
		return rest, true
	}
	return strings.CutPrefix(text, typographic)
}

func readPart(number string) part {
	whole, fraction, _ := strings.Cut(number, ".")
	return part{digits: whole + fraction, decimals: len(fraction)}
}

// value puts the parts together exactly:
//
//	angle = (degrees·3600 + minutes·60 + seconds) / 3600
//
// as a fraction of integers over 3600·10^decimals, checks the ranges on that
// fraction (before any rounding), and rounds once.
func (a axis) value(parts []part, negative bool) (Coordinate, error) {
	unit := [...]int64{3600, 60, 1} // seconds in a degree, a minute, a second
	last := parts[len(parts)-1]
	scale := power10(last.decimals)

	numerator := new(big.Int) // in seconds times scale
	for i, p := range parts {
		digits, _ := new(big.Int).SetString(p.digits, 10) // only digits: cannot fail
		if i < len(parts)-1 {                             // only the last has decimals
			digits.Mul(digits, scale)
		}
		if i > 0 && digits.Cmp(new(big.Int).Mul(big.NewInt(60), scale)) >= 0 {
			return Coordinate{}, fmt.Errorf("%s must be below 60; carry the rest over", [...]string{"", "minutes", "seconds"}[i])
		}
		numerator.Add(numerator, digits.Mul(digits, big.NewInt(unit[i])))
	}
	limit := new(big.Int).Mul(big.NewInt(a.limit*3600), scale)
	if numerator.Cmp(limit) > 0 {
		return Coordinate{}, a.outOfRange(numerator, scale)
	}

	denominator := new(big.Int).Mul(big.NewInt(3600), scale)
	value := Nanodegree(divideHalfEven(new(big.Int).Mul(numerator, big.NewInt(int64(Degree))), denominator).Int64())
	if negative {
		value = -value
	}

	step := new(big.Int).Mul(big.NewInt(unit[len(parts)-1]), big.NewInt(int64(Degree)))
	resolution := new(big.Int).Add(step, denominator)
	resolution.Sub(resolution, big.NewInt(1)).Quo(resolution, denominator) // rounded up
	return Coordinate{Value: value, Resolution: Nanodegree(resolution.Int64())}, nil
}

func (a axis) outOfRange(numerator, scale *big.Int) error {
	halfTurn := new(big.Int).Mul(big.NewInt(180*3600), scale)
	if a.limit < 180 && numerator.Cmp(halfTurn) <= 0 {
		return fmt.Errorf("a %s lies from -%d to %d degrees (are latitude and longitude swapped?)", a.name, a.limit, a.limit)
	}
	return fmt.Errorf("a %s lies from -%d to %d degrees", a.name, a.limit, a.limit)
}

// divideHalfEven is n/d for n ≥ 0, d > 0, rounded to the nearest integer, a tie
// going to the even one.
func divideHalfEven(n, d *big.Int) *big.Int {
	quotient, remainder := new(big.Int).QuoRem(n, d, new(big.Int))
	switch twice := remainder.Lsh(remainder, 1).Cmp(d); {
	case twice > 0, twice == 0 && quotient.Bit(0) == 1:
		quotient.Add(quotient, big.NewInt(1))
	}
	return quotient
}

func power10(exponent int) *big.Int {
	return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(exponent)), nil)
}

// formatDMS counts in units of 1e-4 second, of which a degree has 36,000,000,
// so that 59.99999 seconds carry into the minutes and never show as 60.
func (a axis) formatDMS(n Nanodegree) string {
	const unitsPerMinute, unitsPerDegree = 600_000, 36_000_000
	magnitude := new(big.Int).SetUint64(n.magnitude())
	magnitude.Mul(magnitude, big.NewInt(unitsPerDegree))
	units := divideHalfEven(magnitude, big.NewInt(int64(Degree))).Uint64()
	letter := a.positive
	if n < 0 && units != 0 {
		letter = a.negative
	}
	seconds := units % unitsPerMinute
	return fmt.Sprintf("%d°%02d'%02d.%04d\"%c", units/unitsPerDegree, units%unitsPerDegree/unitsPerMinute,
		seconds/10_000, seconds%10_000, letter)
}

// shorten keeps a message readable when the text is absurdly long.
func shorten(text string) string {
	if len(text) <= maxAngleLength {
		return text
	}
	return strings.ToValidUTF8(text[:maxAngleLength], "") + "…"
}
