// The two texts that programmers of flash write and read. Of both every line has a
// checksum; an error names the line.
//
// Intel HEX (Hexadecimal Object File Format Specification, revision A, 1988; from
// memory), a record a line:
//
//	: count address type data checksum
//
// all in pairs of hexadecimal digits: count of the bytes of data, an address of two
// bytes, one byte of type; all bytes of a line, with the checksum, add up to 0 modulo
// 256. Types: 00 data; 01 the end; 02 and 04 set what is added to the addresses that
// follow, 16 and 65536 times the number in their data; 03 and 05 say where the program
// starts.
//
// S-records (from memory):
//
//	S type count address data checksum
//
// count is of the bytes behind it; the checksum is the complement of the sum of all
// bytes before it. Types: S0 a title; S1, S2, S3 data, with addresses of 2, 3 and 4
// bytes; S5 and S6 the number of such lines, in 2 or 3 bytes; S7, S8, S9 the end, with
// the address of the start in 4, 3 and 2 bytes.
package verify

import (
	"errors"
	"fmt"
	"strings"
)

// maxLine is the longest line there is: an S-record of 255 bytes behind its count.
const maxLine = 2 + 2 + 2*255

// nibble is the value of a hexadecimal digit; more than 15 of anything else.
func nibble(c byte) byte {
	switch {
	case c >= '0' && c <= '9':
		return c - '0'
	case c >= 'A' && c <= 'F':
		return c - 'A' + 10
	case c >= 'a' && c <= 'f':
		return c - 'a' + 10
	default:
		return 16
	}
}

// unhex appends the bytes that pairs of digits are.
func unhex(to []byte, digits string) ([]byte, error) {
	if len(digits)%2 != 0 {
		return nil, errors.New("it has half a byte")
	}
	for i := 0; i < len(digits); i += 2 {
		high, low := nibble(digits[i]), nibble(digits[i+1])
		if high > 15 || low > 15 {
			return nil, fmt.Errorf("%q are no hexadecimal digits", digits[i:i+2])
		}
		to = append(to, high<<4|low)
	}
	return to, nil
}

// eachLine calls for each line with its number, without its end, until there is an
// error. The last may be without a line end.
func eachLine(text string, read func(number int, line string) error) error {
	if len(text) > maxHexBytes {
		return fmt.Errorf("it is larger than %d MiB", maxHexBytes>>20)
	}
	for number := 1; text != ""; number++ {
		line, rest, _ := strings.Cut(text, "\n")
		text = rest
		line = strings.TrimSuffix(line, "\r")
		if len(line) > maxLine {
			return fmt.Errorf("line %d: it has %d characters, more than a record can have", number, len(line))
		}
		if err := read(number, line); err != nil {
			return fmt.Errorf("line %d: %w", number, err)
		}
	}
	return nil
}

// sumOf adds up bytes modulo 256.
func sumOf(bytes []byte) (sum byte) {
	for _, v := range bytes {
		sum += v
	}
	return sum
}

func errBehindEnd() error { return errors.New("something stands behind the record of the end") }

func errChecksum(is, due byte) error {
	return fmt.Errorf("its checksum is %02X, but its bytes make %02X", is, due)
}

// readHex reads Intel HEX.
func readHex(text string) (memory, error) {
	r := hexReader{}
	r.data = make([]byte, 0, min(len(text), maxHexBytes)/2)
	if err := eachLine(text, r.line); err != nil {
		return memory{}, err
	}
	if !r.ended {
		return memory{}, errors.New("the record of the end (:00000001FF) is missing: it is cut short")
	}
	return r.memory()
}

type hexReader struct {
	lines
	base    uint32 // added to the addresses
	started bool   // where the program starts was said
	ended   bool
	record  [maxLine / 2]byte
}

func (r *hexReader) line(number int, line string) error {
	if r.ended {
		return errBehindEnd()
	}
	if !strings.HasPrefix(line, ":") {
		return errors.New("it does not begin with a colon")
	}
	b, err := unhex(r.record[:0], line[1:])
	if err != nil {
		return err
	}
	if len(b) < 5 || len(b) != 5+int(b[0]) {
		return fmt.Errorf("it has %d bytes where its count says otherwise", len(b))
	}
	sum := sumOf(b[:len(b)-1])
	if is := b[len(b)-1]; is != -sum {
		return errChecksum(is, -sum)
	}
	address, kind, data := uint32(b[1])<<8|uint32(b[2]), b[3], b[4:len(b)-1]
	if want := [...]int{-1, 0, 2, 4, 2, 4}; int(kind) < len(want) && want[kind] >= 0 && len(data) != want[kind] {
		return fmt.Errorf("a record of type %02X has %d bytes of data, not %d", kind, len(data), want[kind])
	}
	switch kind {
	case 0:
		if int(address)+len(data) > 1<<16 {
			return errors.New("its bytes go beyond 64 KiB, where programmers go on at different addresses")
		}
		return r.add(r.base+address, data, number)
	case 1:
		r.ended = true
	case 2:
		r.base = (uint32(data[0])<<8 | uint32(data[1])) << 4
	case 4:
		r.base = (uint32(data[0])<<8 | uint32(data[1])) << 16
	case 3, 5:
		if r.started {
			return errors.New("where the program starts is said a second time")
		}
		r.started = true
	default:
		return fmt.Errorf("there is no type %02X of record", kind)
	}
	return nil
}

// readSRecords reads S-records.
func readSRecords(text string) (memory, error) {
	r := sReader{}
	r.data = make([]byte, 0, min(len(text), maxHexBytes)/2)
	if err := eachLine(text, r.line); err != nil {
		return memory{}, err
	}
	if !r.ended {
		return memory{}, errors.New("the record of the end (S7, S8 or S9) is missing: it is cut short")
	}
	return r.memory()
}

type sReader struct {
	lines
	records int // of data
	counted bool
	ended   bool
	record  [maxLine / 2]byte
}

func (r *sReader) line(number int, line string) error {
	if r.ended {
		return errBehindEnd()
	}
	if len(line) < 2 || line[0] != 'S' {
		return errors.New("it does not begin with an S and a digit")
	}
	b, err := unhex(r.record[:0], line[2:])
	if err != nil {
		return err
	}
	kind := line[1]
	size := 0 // of the address, by type
	if kind >= '0' && kind <= '9' {
		size = [10]int{2, 2, 3, 4, 0, 2, 3, 4, 3, 2}[kind-'0']
	}
	switch {
	case size == 0:
		return fmt.Errorf("there is no type S%c of record", kind)
	case len(b) < 1 || len(b) != 1+int(b[0]):
		return fmt.Errorf("it has %d bytes where its count says otherwise", len(b))
	case len(b) < 2+size:
		return errors.New("it is too short for its address")
	}
	sum := sumOf(b[:len(b)-1])
	if is := b[len(b)-1]; is != ^sum {
		return errChecksum(is, ^sum)
	}
	var address uint32
	for _, v := range b[1 : 1+size] {
		address = address<<8 | uint32(v)
	}
	data := b[1+size : len(b)-1]
	if kind >= '5' && len(data) > 0 {
		return fmt.Errorf("a record of type S%c has no data", kind)
	}
	switch kind {
	case '0':
		if number != 1 {
			return errors.New("a title stands in the first line alone")
		}
	case '1', '2', '3':
		if r.counted {
			return errors.New("there is data behind the number of the records")
		}
		r.records++
		return r.add(address, data, number)
	case '5', '6':
		if r.counted {
			return errors.New("the records are counted a second time")
		}
		r.counted = true
		if int(address) != r.records {
			return fmt.Errorf("it counts %d records of data where there are %d", address, r.records)
		}
	default:
		r.ended = true
	}
	return nil
}
