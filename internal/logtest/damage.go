// What happens to logs: lines cut, doubled, run together, bytes changed, binary frames and
// NUL bytes in between.
package logtest

import (
	"bytes"
	"math/rand/v2"
)

// Damage breaks one line in so many, in a way that the seed draws, and says how many were
// broken. A line that was broken alone leaves those around it as they were.
func Damage(log []byte, seed uint64, oneIn int) (damaged []byte, broken int) {
	random := rand.New(rand.NewPCG(seed, 0x64616d61))
	var out bytes.Buffer
	for line := range bytes.Lines(log) {
		if random.IntN(oneIn) > 0 || len(line) < 10 {
			out.Write(line)
			continue
		}
		broken++
		at := 1 + random.IntN(len(line)-3)
		switch random.IntN(7) {
		case 0: // a byte is another one; never an end of line
			line = bytes.Clone(line)
			line[at] ^= byte(1) << random.IntN(3) // digits and letters stay text
			out.Write(line)
		case 1: // cut off
			out.Write(line[:at])
			out.WriteString("\r\n")
		case 2: // run into by the next line
			out.Write(line[:at])
		case 3: // twice
			out.Write(line)
			out.Write(line)
		case 4: // a piece is lost
			out.Write(line[:at])
			out.Write(line[at+1+random.IntN(len(line)-at-2):])
		case 5: // a binary frame in the middle, with a dollar sign in it
			out.Write(line[:at])
			frame := []byte{0xb5, 0x62, 0x01, 0x07, 0, '$', 0xff, 0x0d}
			out.Write(frame)
			out.Write(line[at:])
		case 6: // NUL bytes and a line without end
			out.Write(bytes.Trim(line, "\r\n"))
			out.Write(make([]byte, 1+random.IntN(600)))
		}
	}
	return out.Bytes(), broken
}
