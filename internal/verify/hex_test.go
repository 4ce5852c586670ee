// Intel HEX and S-records: every kind of record, and every fault with its line. The
// checksums were worked out by hand, or are those of objcopy.
package verify

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestHexAndSRecords(t *testing.T) {
	const end, s9 = ":00000001FF\n", "S9030000FC\n"
	for _, c := range []struct {
		name, text string
		pieces     []piece
		err        string
	}{
		{"data", ":03001000414243" + "27\n" + end, []piece{{0x10, "ABC"}}, ""},
		{"small letters, Windows lines, no end of the last line", ":010000006f90\r\n:00000001ff", []piece{{0, "o"}}, ""},
		{"an address of segments", ":020000021000EC\n:0100000041BE\n" + end, []piece{{0x10000, "A"}}, ""},
		{"an address of 32 bits", ":020000040800F2\n:0100040041BA\n" + end, []piece{{0x8000004, "A"}}, ""},
		{"where it starts", ":0400000300003800C1\n:04000005000000CD2A\n" + end, nil, "line 2: where the program starts is said a second time"},
		{"where it starts, once", ":04000005000000CD2A\n" + end, nil, ""},
		{"side by side, in disorder", ":0100010042BC\n:0100000041BE\n:0100030044B8\n" + end, []piece{{0, "AB"}, {3, "D"}}, ""},
		{"no data", ":0000000000\n" + end, nil, ""},
		{"written twice", ":0100000041BE\n:0100010042BC\n:0100050042B8\n:0100010042BC\n" + end, nil, "address 0x00000001 is written twice, by line 1 or one that goes on from it, and by line 4 or one that goes on from it"},
		{"a bad checksum", ":0100000041BE\n:0100010041BE\n" + end, nil, "line 2: its checksum is BE, but its bytes make BD"},
		{"a bad count", ":0200000041BD\n" + end, nil, "line 1: it has 6 bytes where its count says otherwise"},
		{"half a byte", ":0100000041B\n" + end, nil, "line 1: it has half a byte"},
		{"no digit", ":01000000G1BE\n" + end, nil, `line 1: "G1" are no hexadecimal digits`},
		{"an unknown type", ":0100000641B8\n" + end, nil, "line 1: there is no type 06 of record"},
		{"a short address", ":0100000408F3\n" + end, nil, "line 1: a record of type 04 has 1 bytes of data, not 2"},
		{"an end with data", ":0100000141BD\n", nil, "line 1: a record of type 01 has 1 bytes of data, not 0"},
		{"beyond 64 KiB", ":02FFFF0041427D\n" + end, nil, "line 1: its bytes go beyond 64 KiB"},
		{"no end", ":0100000041BE\n", nil, "the record of the end (:00000001FF) is missing"},
		{"behind the end", end + end, nil, "line 2: something stands behind the record of the end"},
		{"an empty line behind the end", end + "\n", nil, "line 2: something stands behind the record of the end"},
		{"an empty line", "\n" + end, nil, "line 1: it does not begin with a colon"},
		{"a space", " " + end, nil, "line 1: it does not begin with a colon"},
		{"a carriage return alone", ":0100000041BE\r:00000001FF\n", nil, `line 1: "\r:" are no hexadecimal digits`},
		{"too long a line", ":" + strings.Repeat("00", 300) + "\n" + end, nil, "line 1: it has 601 characters"},

		{"S1 and a title", "S00600004844521B\nS104001041" + "AA\n" + s9, []piece{{0x10, "A"}}, ""},
		{"S2 and a count", "S20501000041B8\nS5030001FB\nS804000000FB\n", []piece{{0x10000, "A"}}, ""},
		{"S3 and a long count", "S306080000004" + "1B0\nS604000001FA\nS70500000000FA\n", []piece{{0x8000000, "A"}}, ""},
		{"S4", "S4030000FC\n" + s9, nil, "line 1: there is no type S4 of record"},
		{"another letter behind S", "SA030000FC\n" + s9, nil, "line 1: there is no type SA of record"},
		{"a title later", "S104001041AA\nS00600004844521B\n" + s9, nil, "line 2: a title stands in the first line alone"},
		{"a wrong count", "S104001041AA\nS5030002FA\n" + s9, nil, "line 2: it counts 2 records of data where there are 1"},
		{"counted twice", "S5030000FC\nS5030000FC\n" + s9, nil, "line 2: the records are counted a second time"},
		{"data behind the count", "S5030000FC\nS104001041AA\n" + s9, nil, "line 2: there is data behind the number of the records"},
		{"a bad checksum of S1", "S104001041AB\n" + s9, nil, "line 1: its checksum is AB, but its bytes make AA"},
		{"a bad count of S1", "S105001041A9\n" + s9, nil, "line 1: it has 5 bytes where its count says otherwise"},
		{"no address", "S10200FD\n" + s9, nil, "line 1: it is too short for its address"},
		{"an end with data in it", "S90400004" + "1BA\n", nil, "line 1: a record of type S9 has no data"},
		{"S without an end", "S104001041AA\n", nil, "the record of the end (S7, S8 or S9) is missing"},
		{"S behind the end", s9 + "S104001041AA\n", nil, "line 2: something stands behind the record of the end"},
		{"S written twice", "S104001041AA\nS104001041AA\n" + s9, nil, "address 0x00000010 is written twice"},
		{"beyond all addresses", "S307FFFFFFFF414279\n" + "S70500000000FA\n", nil, "line 1: its bytes go beyond the last address of 32 bits"},
		{"something else", "S104001041AA\nx\n" + s9, nil, "line 2: it does not begin with an S and a digit"},
	} {
		t.Run(c.name, func(t *testing.T) {
			read := readHex
			if strings.HasPrefix(c.text, "S") {
				read = readSRecords
			}
			m, err := read(c.text)
			if c.err != "" {
				require.ErrorContains(t, err, c.err)
				return
			}
			require.NoError(t, err)
			assert.Equal(t, c.pieces, append([]piece(nil), m.pieces...))
		})
	}
}
