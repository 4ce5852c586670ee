// Which day it is. A GGA says the time of day alone; RMC and ZDA say the day, perhaps not
// with every fix, and perhaps not from the beginning. So the day of an epoch is
//
//   - its own, where its RMC or ZDA has said it. ZDA goes before, which writes the century;
//     by how many days an RMC of the same time differs is kept and added to those that come
//     alone, so that a receiver that is out by 1024 weeks in one of the two is so in none;
//   - else the one that brings its time nearest to that of the epoch before. So midnight
//     needs nothing of its own, and a log with a gap of less than half a day no date.
//
// Before anything has said a day they are counted from 1970-01-01, and when it is said,
// all that was given a day so far is moved by the difference.
package nmea

type clock struct {
	begun     bool
	dated     bool  // a day was said
	last      int64 // of the epoch before, in nanoseconds since 1970
	lastFix   int64 // of the fix before
	hasFix    bool
	lastLeap  bool  // the fix before was within a leap second
	rmcBehind int64 // days that ZDA is ahead of RMC
}

// instant is when an epoch was, in nanoseconds since 1970. Moved is by how many days what
// was before it was really later, which is not zero once at most.
func (c *clock) instant(e *epoch, counts *Counts) (at, moved int64) {
	expected := int64(0)
	if c.begun {
		expected = floorDivide(c.last-e.timeOfDay+day/2, day)
	}
	today, said := expected, false
	if e.rmc.hasDay {
		today, said = e.rmc.day+c.rmcBehind, true
	}
	if e.hasZDA {
		if e.rmc.hasDay {
			c.rmcBehind = e.zda - e.rmc.day
			if c.rmcBehind != 0 {
				counts.Remarks[DatesDisagree].add(e.line)
			}
		}
		today, said = e.zda, true
	}
	switch {
	case said && !c.dated:
		c.dated = true
		moved = today - expected
		c.lastFix += moved * day
	case said && today != expected:
		counts.Remarks[DateJumps].add(e.line)
	}
	at = today*day + e.timeOfDay
	c.begun, c.last = true, at
	return at, moved
}

// fix notes when a fix was, and whether it came late. What is within a leap second has
// the time of the second after it.
func (c *clock) fix(at int64, e *epoch, counts *Counts) {
	if c.hasFix && at < c.lastFix && !(c.lastLeap && c.lastFix-at < second) {
		counts.Remarks[Backwards].add(e.line)
	}
	c.hasFix, c.lastFix, c.lastLeap = true, at, e.timeOfDay >= day
}

// floorDivide is a/b rounded down, for b > 0.
func floorDivide(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
