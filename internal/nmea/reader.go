// From sentences to fixes. Sentences with the same time of day are one epoch, in whatever
// order they come: receivers differ in it, and some say how good a fix was after the next
// one. So the last few epochs stay open. Each GGA is one fix.
//
// What is kept has a fixed size: the buffer, the open epochs, the last sentences to know
// doubled ones by, and the fixes that wait for a day.
package nmea

import (
	"bytes"
	"io"
	"time"
)

const (
	// openEpochs are those that a sentence may still belong to.
	openEpochs = 4
	// remembered are the sentences with a time that a doubled one is known by: some ten
	// epochs of a receiver that says much.
	remembered = 64
	// heldFixes wait until something says the day; 13 minutes at 5 Hz. Where nothing does
	// by then, those that have waited longest are given out without.
	heldFixes = 4096
)

// epoch is what the sentences of one time of day have said.
type epoch struct {
	timeOfDay int64
	line      int64 // of the first sentence
	hasFix    bool
	fix       Fix
	gst       deviations
	rmc       recommended
	rmcLine   int64
	hasZDA    bool
	zda       int64 // days since 1970
}

// Reader reads the fixes of a log.
type Reader struct {
	scanner scanner
	counts  Counts
	fields  fields

	open  [openEpochs]epoch // the last opened is open[(first+count-1)%openEpochs]
	first int
	count int

	saidAt [remembered]int64 // times of day, which alone are looked at for most sentences
	said   [remembered]saying
	next   int // where the next one is put

	clock clock
	held  [heldFixes + 2*openEpochs]heldFix // a sentence may close two epochs, the end all
	from  int                               // of held
	waits int
	ended bool
}

// saying is a sentence with a time that was taken.
type saying struct {
	kind   Kind
	length int
	body   [maxSentence]byte
}

// heldFix is a fix that is not given out yet, with the line of its epoch.
type heldFix struct {
	Fix
	line int64
}

// NewReader reads a log. It asks for large pieces, and needs no buffer before it.
func NewReader(log io.Reader) *Reader {
	r := &Reader{}
	r.scanner = scanner{from: log, buffer: make([]byte, bufferBytes), line: 1, counts: &r.counts}
	return r
}

// Counts are what the log was made of as far as it is read. Fixes come later than the
// sentences that they are of, so the counts are those of all fixes at the end alone.
func (r *Reader) Counts() Counts { return r.counts }

// Next is the next fix, in the order of their GGA. At the end of the log the error is
// io.EOF; where reading failed before, it is that error, after all fixes that were read.
func (r *Reader) Next() (Fix, error) {
	for {
		if r.waits > 0 && (r.clock.dated || r.ended || r.waits >= heldFixes) {
			fix := &r.held[r.from]
			r.from = (r.from + 1) % len(r.held)
			r.waits--
			if !fix.Dated {
				r.counts.Remarks[Undated].add(fix.line)
			}
			return fix.Fix, nil
		}
		if r.ended {
			return Fix{}, r.scanner.err
		}
		s, there := r.scanner.next()
		if there {
			r.take(s)
			continue
		}
		for r.count > 0 {
			r.closeFirst()
		}
		r.ended = true
	}
}

// take counts a sentence, and puts what it says into its epoch.
func (r *Reader) take(s sentence) {
	kind := kindOf(s)
	why := r.read(kind, s)
	if why != taken {
		r.counts.Refused[why].add(s.line)
		return
	}
	r.counts.Taken[kind].add(s.line)
	if r.scanner.prefixedLine {
		r.counts.Remarks[Prefixed].add(s.line)
	}
}

// read reads a sentence of the kinds that fixes are made of.
func (r *Reader) read(kind Kind, s sentence) (v verdict) {
	if kind > ZDA {
		return taken
	}
	r.fields.split(s.body)
	var (
		fix    Fix
		gst    deviations
		rmc    recommended
		zda    int64
		hasZDA bool
	)
	switch kind {
	case GGA:
		fix, v = readGGA(&r.fields)
	case GST:
		gst, v = readGST(&r.fields)
	case RMC:
		rmc, v = readRMC(&r.fields)
	case ZDA:
		zda, hasZDA, v = readZDA(&r.fields)
	}
	if v != taken {
		return v
	}
	if len(r.fields[1]) == 0 { // of what instant is not known: nothing can be made of it
		if kind == GGA {
			r.counts.Remarks[NoTime].add(s.line)
		}
		return taken
	}
	now, v := timeOfDay(r.fields[1])
	if v != taken {
		return v
	}
	if r.wasSaid(kind, now, s.body) {
		return Doubled
	}
	e := r.epochOf(now, s.line)
	switch kind {
	case GGA:
		if e.hasFix {
			r.counts.Remarks[SameTime].add(s.line)
			e = r.openEpoch(now, s.line)
		}
		e.hasFix, e.fix = true, fix
	case GST:
		e.gst = gst
		if gst.doubtful {
			r.counts.Remarks[EllipseDoubtful].add(s.line)
		}
	case RMC:
		e.rmc, e.rmcLine = rmc, s.line
	case ZDA:
		e.zda, e.hasZDA = zda, hasZDA
	}
	return taken
}

// wasSaid says whether the same sentence was taken a short while ago, and remembers it.
func (r *Reader) wasSaid(kind Kind, timeOfDay int64, body []byte) bool {
	for i, at := range r.saidAt {
		if one := &r.said[i]; at == timeOfDay && one.kind == kind && bytes.Equal(one.body[:one.length], body) {
			return true
		}
	}
	one := &r.said[r.next]
	r.saidAt[r.next], one.kind, one.length = timeOfDay, kind, copy(one.body[:], body)
	r.next = (r.next + 1) % remembered
	return false
}

// epochOf is the open epoch of a time of day, the last of them if there are more, or a
// new one.
func (r *Reader) epochOf(timeOfDay, line int64) *epoch {
	for i := r.count - 1; i >= 0; i-- {
		if e := &r.open[(r.first+i)%openEpochs]; e.timeOfDay == timeOfDay {
			return e
		}
	}
	return r.openEpoch(timeOfDay, line)
}

func (r *Reader) openEpoch(timeOfDay, line int64) *epoch {
	if r.count == openEpochs {
		r.closeFirst()
	}
	e := &r.open[(r.first+r.count)%openEpochs]
	r.count++
	*e = epoch{timeOfDay: timeOfDay, line: line}
	return e
}

// closeFirst ends the epoch that has been open for longest; its fix, if it has one, is
// put behind those that wait.
func (r *Reader) closeFirst() {
	e := &r.open[r.first]
	r.first = (r.first + 1) % openEpochs
	r.count--
	at, moved := r.clock.instant(e, &r.counts)
	if moved != 0 {
		for i := range r.waits {
			waiting := &r.held[(r.from+i)%len(r.held)]
			waiting.At, waiting.Dated = waiting.At.Add(time.Duration(moved*day)), true
		}
	}
	if !e.hasFix {
		return
	}
	r.clock.fix(at, e, &r.counts)
	if e.rmc.mode != 0 && e.rmc.mode != modeOf(e.fix.Quality) {
		r.counts.Remarks[ModesDisagree].add(e.rmcLine)
	}
	fix := &r.held[(r.from+r.waits)%len(r.held)]
	r.waits++
	*fix = heldFix{e.fix, e.line}
	fix.At, fix.Dated = time.Unix(0, at).UTC(), r.clock.dated
	fix.EastStdMM, fix.NorthStdMM, fix.UpStdMM = e.gst.east, e.gst.north, e.gst.up
}
