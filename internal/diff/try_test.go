package diff

import (
	"fmt"
	"testing"
)

func TestTry(t *testing.T) {
	text := example(t, "walnut-grove")
	base := resolve("walnut-grove", text)
	fmt.Println(base.plan.Incomplete, len(base.findings))
	for _, e := range [][2]string{
		{"longitude: 6.123751873", "longitude: 6.123755945"},
		{"    - L2N\n", ""},
		{"    - L2S\n    - L3S\n", "    - L3S\n    - L2S\n"},
		{"distance: 0.45 m", "distance: 0.40 m"},
		{"cruise: 0.60 m/s", "cruise: 0.70 m/s"},
		{"fixed: 2 cm", "fixed: 1 cm"},
		{"centre: T24, radius: 40 cm", "centre: T24, radius: 60 cm"},
		{"boundary: [F1, F2, F3, F4]", "boundary: [F2, F3, F4, F1]"},
		{"contact: normally-open\n    wired_to: ground\n    pull: up", "contact: normally-open\n    wired_to: supply\n    pull: down"},
		{"latitude: 45.301099230", "latitude: 45.301099330"},
		{"origin: {latitude: 45.301200000", "origin: {latitude: 45.301200100"},
		{"closed: false", "closed: true"},
	} {
		fmt.Println("=====", e)
		fmt.Print(words(t, compare(base, resolve("walnut-grove", edit(t, text, e[0], e[1])))))
	}
}
