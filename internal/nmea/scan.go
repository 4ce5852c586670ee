// From bytes to sentences. A sentence is "$" (or "!"), an address, fields between commas,
// "*" and a checksum of two hexadecimal digits, which is the exclusive or of all bytes
// between the two. Whatever else is in a log - binary frames, the time stamps of logging
// programs, halves of sentences - is passed over and counted: since a "$" always begins
// anew, a broken sentence takes no other with it, as long as that has its own "$".
package nmea

import (
	"encoding/hex"
	"io"
	"strings"
)

const (
	// maxSentence is the longest that is taken, from "$" to "*". The standard has 82
	// characters; receivers with more decimals go beyond, makers' own sentences further.
	maxSentence = 256
	// bufferBytes is what is read at a time.
	bufferBytes = 64 << 10
	// fruitless is how often a reader may give nothing, and no error.
	fruitless = 100
)

// scanner finds the sentences with a right checksum.
type scanner struct {
	from    io.Reader
	buffer  []byte
	at, end int   // what is not yet looked at is buffer[at:end]
	err     error // why there is no more; io.EOF at the end
	counts  *Counts

	begun        bool
	line         int64 // at which at is, from 1
	afterReturn  bool  // the byte before at is a carriage return
	lineText     bool  // what was passed over on this line since the last sentence: text,
	lineZeros    bool  // NUL bytes,
	lineBinary   bool  // others
	ofRefused    bool  // what follows is the rest of a sentence that was refused already
	prefixedLine bool  // the sentence at hand has text before it
}

// sentence is one with a right checksum. Body is what stands between "$" and "*"; it is
// good until the next one is asked for.
type sentence struct {
	body         []byte
	line         int64
	encapsulated bool
}

// next is the next sentence; false at the end of the log, where err says why.
func (s *scanner) next() (sentence, bool) {
	for s.skip() {
		begin, line := s.at, s.line
		length, why := s.measure()
		if why == taken {
			return sentence{s.buffer[begin+1 : begin+1+length], line, s.buffer[begin] == '!'}, true
		}
		s.counts.Refused[why].add(line)
		s.ofRefused = true
	}
	return sentence{}, false
}

// need reads on until count bytes are there, or the log has no more.
func (s *scanner) need(count int) {
	if s.end-s.at >= count || s.err != nil {
		return
	}
	if s.at+count > len(s.buffer) {
		copy(s.buffer, s.buffer[s.at:s.end])
		s.at, s.end = 0, s.end-s.at
	}
	for idle := 0; s.end-s.at < count && s.err == nil; {
		n, err := s.from.Read(s.buffer[s.end:])
		s.end += n
		s.err = err
		if n > 0 {
			idle = 0
		} else if idle++; idle == fruitless && err == nil {
			s.err = io.ErrNoProgress
		}
	}
}

// byteOrderMark is what some programs begin a text file with.
const byteOrderMark = "\xef\xbb\xbf"

// skip passes over what is no sentence; false at the end of the log.
func (s *scanner) skip() bool {
	if !s.begun {
		s.begun = true
		s.need(len(byteOrderMark))
		if strings.HasPrefix(string(s.buffer[s.at:min(s.end, s.at+len(byteOrderMark))]), byteOrderMark) {
			s.at += len(byteOrderMark)
		}
	}
	for {
		s.need(maxSentence + len("$*00"))
		if s.at == s.end {
			s.endLine()
			return false
		}
		c := s.buffer[s.at]
		if c == '$' || c == '!' && s.encapsulatedHere() {
			s.prefixedLine = s.lineText && !s.ofRefused
			s.lineText = false
			s.told()
			s.afterReturn, s.ofRefused = false, false
			return true
		}
		s.at++
		switch {
		case c == '\n' && s.afterReturn: // of the line that the return has ended
			s.afterReturn = false
			continue
		case c == '\n' || c == '\r':
			s.endLine()
			s.line++
		case c == 0:
			s.lineZeros = true
		case isText(c) || c == '\t':
			s.lineText = s.lineText || c > ' '
		default:
			s.lineBinary = true
		}
		s.afterReturn = c == '\r'
	}
}

// endLine counts what was on the line that ends.
func (s *scanner) endLine() {
	s.told()
	s.ofRefused = false
}

// told counts what was passed over.
func (s *scanner) told() {
	if !s.ofRefused && s.lineText {
		s.counts.Remarks[Text].add(s.line)
	}
	if s.lineZeros {
		s.counts.Remarks[Zeros].add(s.line)
	}
	if s.lineBinary {
		s.counts.Remarks[Binary].add(s.line)
	}
	s.lineText, s.lineZeros, s.lineBinary = false, false, false
}

// encapsulatedHere says whether "!" begins a sentence: five characters of an address and
// a comma follow. Elsewhere it is a mark of other text.
func (s *scanner) encapsulatedHere() bool {
	rest := s.buffer[s.at+1 : s.end]
	return len(rest) > 5 && addressLength(rest[:6]) == 5 && rest[5] == ','
}

// measure looks at the sentence that begins at at, and puts at behind it; the length is
// that of its body. There are maxSentence bytes and a checksum in the buffer, or all that
// the log has.
func (s *scanner) measure() (length int, why Refusal) {
	rest := s.buffer[s.at+1 : s.end]
	body := rest[:min(len(rest), maxSentence)]
	var sum byte
	i := 0
	for i < len(body) && isText(body[i]) && body[i] != '*' && body[i] != '$' {
		sum ^= body[i]
		i++
	}
	if address := addressLength(body[:i]); address == 0 || address < i && body[address] != ',' {
		s.at += 1 + address
		return 0, NoAddress
	}
	s.at += 1 + i
	switch {
	case i == len(rest):
		return 0, CutShort
	case rest[i] == '$':
		return 0, Interrupted
	case rest[i] == '\r' || rest[i] == '\n':
		return 0, NoChecksum
	case !isText(rest[i]):
		return 0, CutShort
	case rest[i] != '*':
		return 0, TooLong
	}
	s.at++
	var said [1]byte
	if len(rest) < i+3 {
		return 0, CutShort
	}
	if _, err := hex.Decode(said[:], rest[i+1:i+3]); err != nil {
		return 0, CutShort
	}
	s.at += 2
	if said[0] != sum {
		return 0, WrongChecksum
	}
	return i, taken
}

// addressLength is how many capitals and digits a text begins with.
func addressLength(text []byte) int {
	n := 0
	for n < len(text) && (text[n] >= 'A' && text[n] <= 'Z' || text[n] >= '0' && text[n] <= '9') {
		n++
	}
	return n
}

func isText(c byte) bool { return c >= ' ' && c <= '~' }
