// Command merestone compiles missions of small ground rovers into checked C
// headers. See internal/cli for the commands.
package main

import (
	"os"

	"merestone/internal/cli"
)

func main() {
	os.Exit(cli.Run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
