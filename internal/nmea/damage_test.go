// Logs that are broken: what survives is as it was, and everything is counted.
package nmea

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/logtest"
)

func standing(fixes int) logtest.Log {
	return logtest.Log{Seed: 7, Latitude: 45_301_200_000, Longitude: 6_123_400_000, HeightM: 412.6, SeparationM: 47.1, From: time.Date(2026, 5, 10, 23, 59, 0, 0, time.UTC), Fixes: fixes,
		StdMM: [3]float64{6, 7, 12}, TimeConstant: 30 * time.Second, WhiteMM: 2, Talker: func(i int) string { return []string{"GP", "GN", "GL"}[i%3] }}
}

// sound are the sentences of a text that have a checksum, found in another way, and of
// them those with the right one.
var checksummed = regexp.MustCompile(`\$([A-Z0-9]+(?:,[ -#%-)+-~]*)?)\*([0-9A-Fa-f]{2})`)

func soundSentences(text []byte) (withChecksum, right int) {
	for _, m := range checksummed.FindAllSubmatch(text, -1) {
		if len(m[1]) > maxSentence {
			continue
		}
		withChecksum++
		if strings.EqualFold(logtest.Sentence(string(m[1])), string(m[0])) {
			right++
		}
	}
	return withChecksum, right
}

// adds wants every "$" of a text to be counted once. There is no "!" in it.
func adds(t require.TestingT, text []byte, c Counts) {
	require.Equal(t, int64(bytes.Count(text, []byte("$"))), sum(c).Count, "every $ is counted once")
	withChecksum, right := soundSentences(text)
	require.Equal(t, int64(withChecksum-right), c.Refused[WrongChecksum].Count)
	got := sum(Counts{Taken: c.Taken}).Count + c.Refused[Malformed].Count + c.Refused[OutOfRange].Count + c.Refused[Doubled].Count
	require.Equal(t, int64(right), got, "those with the right checksum")
}

// A checksum of eight bits lets one in 256 pass of the sentences that have lost a piece.
func TestWhatSurvivesDamageIsAsItWas(t *testing.T) {
	log := standing(3000)
	whole := map[time.Time]Fix{}
	for _, f := range fixesOf(t, NewReader(bytes.NewReader(log.Text()))) {
		whole[f.At] = f
	}
	require.Len(t, whole, 3000)
	for _, oneIn := range []int{3, 20, 1000} {
		text, broken := logtest.Damage(log.Text(), 3, oneIn)
		r := NewReader(bytes.NewReader(text))
		seen, passed := 0, 0
		for _, f := range fixesOf(t, r) {
			want, there := whole[f.At]
			require.True(t, there, "%v", f)
			if f.EastStdMM == 0 { // its GST is gone
				f.EastStdMM, f.NorthStdMM, f.UpStdMM = want.EastStdMM, want.NorthStdMM, want.UpStdMM
			}
			seen++
			if want != f {
				passed++
			}
		}
		assert.LessOrEqual(t, passed, 3+broken/500, "one in %d", oneIn)
		c := r.Counts()
		adds(t, text, c)
		// A sentence that is broken takes no other with it; doubled ones take none.
		taken := sum(Counts{Taken: c.Taken}).Count
		assert.GreaterOrEqual(t, taken, int64(5*3000-broken), "one in %d", oneIn)
		assert.Less(t, taken, int64(5*3000)-int64(broken)/2, "one in %d: most damage shows", oneIn)
		assert.Equal(t, int64(seen), c.Taken[GGA].Count)
		t.Logf("one line in %d: %d broken, %d of 3000 fixes, %d others; %s", oneIn, broken, seen, passed, c.Refusals())
	}
}

// A byte that is another one never makes another fix: the checksum finds every one.
func TestOneByteNeverMakesAnotherFix(t *testing.T) {
	log := standing(40).Text()
	whole := map[string]bool{}
	for _, f := range fixesOf(t, NewReader(bytes.NewReader(log))) {
		f.EastStdMM, f.NorthStdMM, f.UpStdMM = 0, 0, 0
		whole[fmt.Sprint(f)] = true
	}
	random := rand.New(rand.NewPCG(5, 5))
	lost := 0
	for range 2000 {
		text := bytes.Clone(log)
		at := random.IntN(len(text))
		before := text[at]
		text[at] = byte(random.IntN(256))
		fixes := fixesOf(t, NewReader(bytes.NewReader(text)))
		for _, f := range fixes {
			f.EastStdMM, f.NorthStdMM, f.UpStdMM = 0, 0, 0
			require.True(t, whole[fmt.Sprint(f)], "byte %d %q made %q: %v", at, before, text[at], f)
		}
		lost += 40 - len(fixes)
	}
	assert.Greater(t, lost, 300, "a quarter of the bytes are of GGA")
	assert.Less(t, lost, 1200)
}

func FuzzReader(f *testing.F) {
	whole := standing(6).Text()
	f.Add(whole)
	for seed := range uint64(4) {
		broken, _ := logtest.Damage(whole, seed, 3)
		f.Add(broken)
	}
	for _, text := range []string{
		"", "$", "!", "$*00", "$GPGGA*56\r\n", "\xef\xbb\xbf$GPZDA,,,,,,*48\n", line(rmc) + line(gga), line(strings.Replace(rmc, "100526", "010180", 1)) + line(zda),
		"$GPGST,172814.0,0.006,0.023,0.020,273.6,0.023,0.020,0.031*6A\n", line("GNGGA,235960.9," + place + ",4" + tail), line("GNZDA,000000,31,12,2199,,") + line("GNGGA,235959,"+place+",0"),
		strings.Repeat("$GPGGA,", 100), strings.Repeat("A", 300) + "$" + strings.Repeat("A", 300), "\r\n\r\n\n\r$\r\n",
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		text = bytes.ReplaceAll(text, []byte("!"), []byte("?")) // which begins some sentences only
		r := NewReader(bytes.NewReader(text))
		fixes := fixesOf(t, r)
		c := r.Counts()
		adds(t, text, c)
		require.Equal(t, c.Taken[GGA].Count-c.Remarks[NoTime].Count, int64(len(fixes)), "each GGA with a time is a fix")
		lines := int64(len(regexp.MustCompile(`\r\n|\r|\n`).FindAll(text, -1)) + 1)
		undated := int64(0)
		for _, f := range fixes {
			if !f.Dated {
				undated++
			}
			require.LessOrEqual(t, f.Quality, Simulated)
			require.True(t, max(f.Latitude, -f.Latitude) <= 90_000_000_000 && max(f.Longitude, -f.Longitude) <= 180_000_000_000)
			require.True(t, f.EastStdMM >= 0 && f.NorthStdMM >= 0 && f.UpStdMM >= 0 && f.HDOP >= 0 && f.Satellites >= -1)
			require.True(t, max(f.HeightMM, -f.HeightMM) <= 2*maxWhole*1000)
			require.True(t, f.At.Year() >= 1969 && f.At.Year() <= lastYear+1, "%v", f.At)
		}
		require.Equal(t, undated, c.Remarks[Undated].Count)
		for _, row := range c.Rows() {
			require.NotContains(t, row[1:], "0")
		}
		for _, tally := range append(append(c.Taken[:], c.Refused[:]...), c.Remarks[:]...) {
			require.True(t, tally.Line <= lines && tally.Line >= 0 && (tally.Line > 0) == (tally.Count > 0), "%+v of %d", tally, lines)
		}
		// However the log comes in, it says the same.
		slow := NewReader(&pieces{text: text, sizes: []int{1, 7, 0, 300}})
		require.Equal(t, fixes, fixesOf(t, slow))
		require.Equal(t, c, slow.Counts())
	})
}

// pieces gives a text in pieces of given sizes, over and over.
type pieces struct {
	text  []byte
	sizes []int
	next  int
}

func (p *pieces) Read(into []byte) (int, error) {
	if len(p.text) == 0 {
		return 0, io.EOF
	}
	n := copy(into[:min(len(into), p.sizes[p.next%len(p.sizes)])], p.text)
	p.next++
	p.text = p.text[n:]
	return n, nil
}
