// Data that may be packed: what comes out, what is said of what is broken, and that a
// small file that unpacks to much takes no memory.
package source

import (
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"os"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"merestone/internal/tooltest"
)

func packed(t require.TestingT, text string) string {
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	_, err := io.WriteString(w, text)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return out.String()
}

func TestData(t *testing.T) {
	t.Chdir(t.TempDir())
	const text = "one line\nanother line\n"
	one := packed(t, text)
	var long strings.Builder
	for i := range 20_000 {
		long.WriteString(strconv.Itoa(i * i))
	}
	big := packed(t, long.String())
	changed := []byte(one)
	changed[len(changed)-6] ^= 1 // of the checksum
	corrupt := "\x1f\x8b\x08\x00\x00\x00\x00\x00\x00\xff" + "\xff\xff\xff\xff"
	for _, c := range []struct{ fact, bytes, want, err string }{
		{"plain", text, text, ""},
		{"packed", one, text, ""},
		{"members one after the other", one + one, text + text, ""},
		{"empty", "", "", ""},
		{"one byte", "\x1f", "\x1f", ""},
		{"packed nothing", packed(t, ""), "", ""},
		{"cut off in the checksum", one[:len(one)-3], text, "f: its gzip data end early"},
		{"cut off in the second member", one + one[:12], text, "f: its gzip data end early"},
		{"cut off in the middle", big[:len(big)/2], "0149162536496481", "f: its gzip data end early"},
		{"cut off in the header", one[:5], "", "cannot read f: its gzip data end within their header"},
		{"bytes after it", one + "\n", text, "f: its gzip data end early"},
		{"more bytes after it", one + "more bytes after it", text, "cannot read f to its end: its gzip data have no header, or bytes follow them"},
		{"another checksum", string(changed), text, "cannot read f to its end: its gzip data have another checksum than they say"},
		{"a way of packing that there is not", "\x1f\x8b\x01\x00\x00\x00\x00\x00\x00\xff", "", "cannot read f: its gzip data have no header, or bytes follow them"},
		{"corrupt", corrupt, "", "cannot read f to its end: flate: corrupt input before offset 1"},
	} {
		require.NoError(t, os.WriteFile("f", []byte(c.bytes), 0o644))
		for path, name := range map[string]string{"f": "f", "-": "standard input"} {
			var got []byte
			log, err := OpenData(path, strings.NewReader(c.bytes))
			if err == nil {
				got, err = io.ReadAll(log)
				require.NoError(t, log.Close())
			}
			if c.err == "" {
				require.NoError(t, err, c.fact)
			} else {
				assert.EqualError(t, err, strings.Replace(c.err, "f", name, 1), c.fact)
				if name == "f" {
					assert.Equal(t, strings.Contains(c.err, "early"), errors.As(err, &EndsEarly{}), c.fact)
				}
			}
			assert.True(t, strings.HasPrefix(string(got), c.want), "%s: %.40q", c.fact, got)
		}
	}
	_, err := OpenData("nowhere", nil)
	assert.EqualError(t, err, "cannot read nowhere: no such file or directory")
	_, err = OpenData(".", nil)
	assert.EqualError(t, err, "cannot read .: it is a folder; name the file in it")
	_, err = OpenData("-", iotest.ErrReader(errors.New("the line is dead")))
	assert.EqualError(t, err, "cannot read standard input: the line is dead")
}

func TestWhatUnpacksToMuchTakesNoMemory(t *testing.T) {
	const size = 128 << 20
	said, cost := tooltest.Measured(t, func() []byte {
		var out bytes.Buffer
		w, err := gzip.NewWriterLevel(&out, gzip.BestSpeed)
		require.NoError(t, err)
		zeros := make([]byte, 1<<20)
		for range size / len(zeros) {
			_, err = w.Write(zeros)
			require.NoError(t, err)
		}
		require.NoError(t, w.Close())
		return out.Bytes()
	}, func(small []byte) string {
		unpacked, err := OpenData("-", bytes.NewReader(small))
		require.NoError(t, err)
		n, err := io.Copy(io.Discard, unpacked)
		require.NoError(t, err)
		return strconv.FormatInt(n, 10)
	})
	t.Logf("%d ms, %d MB", cost.CPU.Milliseconds(), cost.Peak/1_000_000)
	assert.Equal(t, strconv.Itoa(size), said)
	assert.Less(t, cost.Peak, int64(40_000_000))
	assert.Less(t, cost.CPU, 5*time.Second)
}

// What is not packed comes out as it is; what is, as it was; and of the beginning of packed
// data a beginning.
func FuzzOpenData(f *testing.F) {
	for _, text := range []string{"", "\x1f", "\x1f\x8b", "\x1f\x8b\x08\x00\x00\x00\x00\x00\x00\xff\xff\xff", "$GPGGA,,,,,,0,,,,,,,,*66\r\n", strings.Repeat("abc", 1000)} {
		f.Add(text, uint(len(text)))
	}
	f.Fuzz(func(t *testing.T, text string, cut uint) {
		if got, err := unpackedText(text); !strings.HasPrefix(text, gzipMagic) {
			require.NoError(t, err)
			require.Equal(t, text, got)
		}
		whole := packed(t, text)
		got, err := unpackedText(whole)
		require.NoError(t, err)
		require.Equal(t, text, got)
		got, err = unpackedText(whole[:cut%uint(len(whole))])
		if cut %= uint(len(whole)); cut >= uint(len(gzipMagic)) {
			require.Error(t, err)
			require.True(t, strings.HasPrefix(text, got))
		}
	})
}

func unpackedText(text string) (string, error) {
	d, err := OpenData("-", strings.NewReader(text))
	if err != nil {
		return "", err
	}
	got, err := io.ReadAll(d)
	return string(got), err
}
