// Hostile images beside a plan, and the largest honest ones: each is answered within
// the time and memory that internal/cli/cost_test.go has for images alone.
package verify

import (
	"debug/elf"
	"encoding/binary"
	"fmt"
	"strings"
	"testing"
	"time"
	"unsafe"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/gen"
	"merestone/internal/tooltest"
)

func TestImagesBesideAPlanWithinTimeAndMemory(t *testing.T) {
	p := resolve(t, "walnut-grove")
	board, err := gen.Board(p, tool)
	require.NoError(t, err)
	l := layout{binary.LittleEndian, 4, 8}
	whole := laidOut(board, l, 0)
	head := missionBlock(board, l)
	legs := tableBytes(head.links[0].table, l)
	// heads are missions alone, the pointer of each of which to a table is one more.
	heads := func(n, link int) string {
		var out strings.Builder
		for i := range n {
			one := []byte(whole[:len(head.bytes)])
			at := head.links[link].at
			binary.LittleEndian.PutUint32(one[at:], binary.LittleEndian.Uint32(one[at:])+uint32(i))
			out.Write(one)
		}
		return out.String()
	}
	sparse := func(begin, format, end string, size int) string {
		var out strings.Builder
		out.WriteString(begin)
		for i := 0; out.Len() < size-100; i++ {
			a := byte(2 * i)
			b := byte(2 * i >> 8)
			// one byte, 0, at every other address; S3 and HEX with other checksums
			switch format {
			case "S":
				fmt.Fprintf(&out, "S306%08X00%02X\n", 2*i, ^(6 + a + b + byte(2*i>>16) + byte(2*i>>24)))
			default:
				if i%32768 == 0 {
					high := 2 * i >> 16
					fmt.Fprintf(&out, ":02000004%04X%02X\n", high, -(6 + byte(high) + byte(high>>8)))
				}
				fmt.Fprintf(&out, ":01%02X%02X0000%02X\n", b, a, -(1 + a + b))
			}
		}
		return out.String() + end
	}
	backwards := func(text, end string) string {
		lines := strings.SplitAfter(text, "\n")
		lines = lines[:len(lines)-2]
		var out strings.Builder
		for i := range lines {
			out.WriteString(lines[len(lines)-1-i])
		}
		return out.String() + end
	}
	flash := whole + strings.Repeat("\xa5", 16<<20-len(whole))
	for _, c := range []struct {
		name, file string
		data       func() string
		says       string
	}{
		{"as many missions as there may be, each with its tables", "f.bin", func() string {
			var out strings.Builder
			for i := range maxPlaces {
				out.WriteString(laidOut(board, l, uint64(i*len(whole))))
			}
			return out.String()
		}, "built from this plan"},
		{"one mission more", "f.bin", func() string { return strings.Repeat(whole, maxPlaces+1) }, "records in more than 10000 places"},
		{"as many missions with the same tables", "f.bin", func() string { return strings.Repeat(whole, maxPlaces) }, "cannot be told"},
		{"missions with tables that none of them has", "f.bin", func() string { return heads(maxPlaces, 0) }, "cannot be told"},
		{"missions with pointers all over the legs", "f.bin", func() string { return heads(maxPlaces-1, 1) + whole + strings.Repeat(legs, 9_000) }, "cannot be told"},
		{"missions with pointers all over the holds, with addresses", "f.hex", func() string { return hexOf(0, whole+heads(maxPlaces-1, 5)) }, "edited"},
		{"legs alone", "f.bin", func() string { return whole + strings.Repeat(legs, (MaxImageBytes-len(whole))/len(legs)) }, "the same bytes are in more than 10000 places"},
		{"legs one after the other, after a mission without", "f.bin", func() string { return heads(1, 0) + strings.Repeat(legs, 9_999) }, "cannot be told"},
		{"an image that is full", "f.bin", func() string { return whole + strings.Repeat("m", MaxImageBytes-len(whole)) }, "built from this plan"},
		{"the largest flash as Intel HEX", "f.hex", func() string { return hexOf(0, flash) }, "built from this plan"},
		{"the same as S-records", "f.s37", func() string { return sRecordsOf(0, flash) }, "built from this plan"},
		{"the same backwards", "f.s37", func() string { return backwards(sRecordsOf(0, flash), "S70500000000FA\n") }, "built from this plan"},
		{"bytes apart from each other", "f.hex", func() string { return sparse("", "", ":00000001FF\n", 14<<20) }, "there is no mission"},
		{"more of them", "f.hex", func() string { return sparse("", "", ":00000001FF\n", maxHexBytes) }, "more than 1100000 pieces"},
		{"the same as S-records apart", "f.s37", func() string { return sparse("", "S", "S70500000000FA\n", 17<<20) }, "there is no mission"},
		{"lines of nothing", "f.hex", func() string { return strings.Repeat(":0000000000\n", maxHexBytes/12-1) + ":00000001FF\n" }, "there is no mission"},
		{"too large for lines", "f.hex", func() string { return strings.Repeat(":0000000000\n", maxHexBytes/12+1) }, "larger than 64 MiB"},
		{"a line without an end", "f.hex", func() string { return ":" + strings.Repeat("0", maxHexBytes-1) }, "more than a record can have"},
		{"what a loader writes", "f.elf", func() string { return relocating(maxRelocations) }, "there is no mission"},
		{"more of it", "f.elf", func() string { return relocating(maxRelocations + 1) }, "more than 500000 places"},
	} {
		t.Run(c.name, func(t *testing.T) {
			said, cost := tooltest.Measured(t, func() []byte { return []byte(c.data()) }, func(input []byte) string {
				a, err := asked(c.file, unsafe.String(&input[0], len(input)), p).Answer()
				if err != nil {
					return err.Error()
				}
				var out strings.Builder
				require.NoError(t, WriteText(&out, a))
				return fmt.Sprintf("%.300s ... %d bytes", out.String(), out.Len())
			})
			t.Logf("%d ms, %d MB, %.200s", cost.CPU.Milliseconds(), cost.Peak/1_000_000, said)
			assert.Contains(t, said, c.says)
			assert.Less(t, cost.CPU, 3*time.Second)
			assert.Less(t, cost.Peak, int64(300_000_000))
		})
	}
}

// relocating is a program of 64 bits whose loader writes to as many places.
func relocating(n int) string {
	const head, each = 64 + 2*56, 24
	var out strings.Builder
	h := elf.Header64{Type: uint16(elf.ET_DYN), Machine: uint16(elf.EM_X86_64), Version: 1, Phoff: 64, Ehsize: 64, Phentsize: 56, Phnum: 2, Shentsize: 64}
	copy(h.Ident[:], elf.ELFMAG+"\x02\x01\x01")
	size := uint64(head + 3*16 + n*each)
	write := func(part any) { _ = binary.Write(&out, binary.LittleEndian, part) } // to memory: cannot fail
	write(h)
	write(elf.Prog64{Type: uint32(elf.PT_LOAD), Filesz: size, Memsz: size})
	write(elf.Prog64{Type: uint32(elf.PT_DYNAMIC), Off: head, Vaddr: head, Filesz: 48, Memsz: 48})
	write([]uint64{uint64(elf.DT_RELA), head + 48, uint64(elf.DT_RELASZ), uint64(n * each), 0, 0})
	all := make([]uint64, 3*n)
	for i := range n {
		all[3*i], all[3*i+1] = uint64(8*(n-i)), uint64(elf.R_X86_64_RELATIVE)
	}
	write(all)
	return out.String()
}
