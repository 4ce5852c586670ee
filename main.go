// Command merestone compiles missions of small ground rovers into checked C
// headers. See internal/cli for the commands.
package main

import "merestone/internal/cli"

func main() { cli.Main() }
