package guidance

// The C header on emulated boards: the digests of the same vectors as on the
// host, from a 32-bit Cortex-M3 and from a 32-bit RISC-V.

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// boardBlocks is the number of blocks run on each board for each mission.
const boardBlocks = 16

type emulated struct {
	name     string
	compiler []string
	link     []string
	emulator []string
}

var boards = []emulated{
	{
		name:     "Cortex-M3",
		compiler: []string{"arm-none-eabi-gcc", "-mcpu=cortex-m3", "-mthumb"},
		link:     []string{"-nostartfiles", "-T", "board_m3.ld", "board_m3.c", "-lm"},
		emulator: []string{"qemu-system-arm", "-M", "mps2-an385", "-cpu", "cortex-m3", "-nographic",
			"-semihosting-config", "enable=on,target=native", "-kernel"},
	},
	{
		name:     "RV32IMAC",
		compiler: []string{"riscv64-unknown-elf-gcc", "-march=rv32imac", "-mabi=ilp32", "-ffreestanding"},
		link:     []string{"-nostdlib", "-T", "board_rv32.ld", "board_rv32.c", "-lgcc"},
		emulator: []string{"qemu-system-riscv32", "-M", "virt", "-bios", "none", "-nographic", "-kernel"},
	},
}

// build compiles a program of testdata for the board.
func (b emulated) build(t testing.TB, folder string, args ...string) {
	t.Helper()
	args = append(append(b.compiler[1:len(b.compiler):len(b.compiler)], args...), b.link...)
	command(t, folder, b.compiler[0], args...)
}

func (b emulated) run(t testing.TB, folder, program string, options ...string) []string {
	t.Helper()
	args := append(options, append(b.emulator[1:len(b.emulator):len(b.emulator)], program)...)
	return strings.Split(strings.TrimSpace(command(t, folder, b.emulator[0], args...)), "\n")
}

func TestTwinOnBoards(t *testing.T) {
	for _, sketch := range sketches() {
		m := sketch.mission(t)
		folder := writeC(t, m)
		var want []string
		v := newVectors(m)
		for block := range uint32(boardBlocks) {
			want = append(want, fmt.Sprintf("%016x", v.block(block)))
		}
		for _, b := range boards {
			t.Run(sketch.name+" "+b.name, func(t *testing.T) {
				b.build(t, folder, "-std=c99", "-O2", fmt.Sprintf("-DBOARD_BLOCKS=%d", boardBlocks), "-o", "board.elf", "board.c")
				require.Equal(t, want, b.run(t, folder, "board.elf"))
				t.Logf("%d vectors, equal", boardBlocks*blockVectors)
			})
		}
	}
}
