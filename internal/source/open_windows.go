// Pipes of Windows: opening one never waits for a writer; there is none without.
package source

import (
	"io"
	"os"
)

// doNotWait needs no flag here.
const doNotWait = 0

func awaitWriter(pipe *os.File) (io.ReadCloser, error) { return pipe, nil }
