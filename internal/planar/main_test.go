package planar

import (
	"flag"
	"os"
	"testing"
)

// The property tests are cheap, so each tries more cases than rapid's usual
// hundred, unless the command line says how many.
func TestMain(m *testing.M) {
	if err := flag.Set("rapid.checks", "3000"); err != nil {
		panic(err)
	}
	flag.Parse()
	os.Exit(m.Run())
}
