// One field of a sentence, in integers. Each reader says in a verdict whether the field
// has the form, and whether its value is one that there can be.
package nmea

import "time"

// verdict is what there is to say of a field or a sentence: taken, Malformed or OutOfRange.
type verdict = Refusal

// firstFault is the first verdict that is not taken.
func firstFault(all ...verdict) verdict {
	for _, v := range all {
		if v != taken {
			return v
		}
	}
	return taken
}

// digits reads a field of nothing but digits, from least to most of them.
func digits(field []byte, least, most int) (value int64, v verdict) {
	if len(field) < least || len(field) > most {
		return 0, Malformed
	}
	for _, c := range field {
		if c < '0' || c > '9' {
			return 0, Malformed
		}
		value = value*10 + int64(c-'0')
	}
	return value, taken
}

const (
	billion = 1_000_000_000
	// maxWhole bounds numbers with decimals: no height has a thousand kilometres, no age
	// a million seconds. Times 1e9 it is far within 64 bits.
	maxWhole = 1_000_000
)

// decimal reads digits with or without a point and decimals, in units of 1e-9. Decimals
// from the tenth on are dropped: they are less than a nanometre or a nanosecond.
func decimal(field []byte) (billionths int64, v verdict) {
	whole, some := int64(0), false
	i := 0
	for ; i < len(field) && field[i] != '.'; i++ {
		c := field[i]
		if c < '0' || c > '9' {
			return 0, Malformed
		}
		whole, some = min(whole*10+int64(c-'0'), maxWhole), true
	}
	fraction, unit := int64(0), int64(billion)
	for i++; i < len(field); i++ {
		c := field[i]
		if c < '0' || c > '9' {
			return 0, Malformed
		}
		unit /= 10 // 0 from the tenth on
		fraction += int64(c-'0') * unit
		some = true
	}
	switch {
	case !some:
		return 0, Malformed
	case whole >= maxWhole:
		return 0, OutOfRange
	}
	return whole*billion + fraction, taken
}

// signed is decimal with a minus sign or without.
func signed(field []byte) (billionths int64, v verdict) {
	if len(field) > 0 && field[0] == '-' {
		billionths, v = decimal(field[1:])
		return -billionths, v
	}
	return decimal(field)
}

// optional is decimal for a field that may be empty: the value is then zero.
func optional(field []byte) (billionths int64, v verdict) {
	if len(field) == 0 {
		return 0, taken
	}
	return decimal(field)
}

const (
	second = int64(time.Second)
	day    = 86_400 * second
)

// timeOfDay reads hhmmss with or without decimals, in nanoseconds. Second 60 is there at
// the end of a day alone: it is a leap second, and counts on into the next day.
func timeOfDay(field []byte) (nanoseconds int64, v verdict) {
	if len(field) < 6 || len(field) > 6 && field[6] != '.' {
		return 0, Malformed
	}
	hours, a := digits(field[:2], 2, 2)
	minutes, b := digits(field[2:4], 2, 2)
	_, c := digits(field[4:6], 2, 2)
	seconds, d := decimal(field[4:])
	if v = firstFault(a, b, c, d); v != taken {
		return 0, v
	}
	leap := hours == 23 && minutes == 59 && seconds < 61*second
	if hours > 23 || minutes > 59 || seconds >= 60*second && !leap {
		return 0, OutOfRange
	}
	return (hours*60+minutes)*60*second + seconds, taken
}

// The years that a date may be of: GPS begins in 1980, and an instant in nanoseconds ends
// in 2262.
const firstYear, lastYear = 1980, 2199

// daysSince1970 is the day that a calendar date names.
func daysSince1970(year, month, dayOfMonth int64) (days int64, v verdict) {
	if year < firstYear || year > lastYear || month < 1 || month > 12 || dayOfMonth < 1 {
		return 0, OutOfRange
	}
	at := time.Date(int(year), time.Month(month), int(dayOfMonth), 0, 0, 0, 0, time.UTC)
	if int64(at.Day()) != dayOfMonth { // the 31st of June is the 1st of July to time.Date
		return 0, OutOfRange
	}
	return at.Unix() / 86_400, taken
}

// century puts a year of two digits into one: RMC has no more.
func century(year int64) int64 {
	if year >= firstYear%100 {
		return 1900 + year
	}
	return 2000 + year
}
