// How far the reading of a long file is, as a bar on the terminal of standard error: for a
// person who waits. Where nobody looks, nothing is written.
package cli

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// progress is a bar. The zero one shows nothing.
type progress struct {
	on      io.Writer // the terminal; nil for none
	what    string    // visible, on one line
	of      int64     // bytes in all; 0 where that is not known
	done    int64
	shown   time.Time
	visible bool
}

const (
	// progressEvery is how often a bar is drawn, and progressAfter from when on: what is done
	// at once needs none.
	progressEvery = 100 * time.Millisecond
	progressAfter = 500 * time.Millisecond
	progressWide  = 30
)

// Write counts bytes as they are read.
func (p *progress) Write(data []byte) (int, error) {
	p.done += int64(len(data))
	if now := time.Now(); p.on != nil {
		if p.shown.IsZero() {
			p.shown = now.Add(progressAfter - progressEvery)
		}
		if now.Sub(p.shown) >= progressEvery {
			p.shown, p.visible = now, true
			p.draw()
		}
	}
	return len(data), nil
}

func (p *progress) draw() {
	line := fmt.Sprintf("%d MB", p.done/1_000_000)
	if p.of > 0 {
		part := min(float64(p.done)/float64(p.of), 1)
		full := int(part * progressWide)
		line = fmt.Sprintf("[%s%s] %3.0f %%  %s", strings.Repeat("#", full), strings.Repeat(" ", progressWide-full), 100*part, line)
	}
	fmt.Fprintf(p.on, "\r%s  %.30s\x1b[K", line, p.what)
}

// end takes the bar away.
func (p *progress) end() {
	if p.visible {
		fmt.Fprint(p.on, "\r\x1b[K")
	}
}
