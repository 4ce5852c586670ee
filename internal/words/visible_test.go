package words_test

import (
	"strconv"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"

	"merestone/internal/words"
)

func TestVisible(t *testing.T) {
	for text, want := range map[string]string{
		"":                                       "",
		"walnut grove/m.yaml":                    "walnut grove/m.yaml",
		`C:\new\m.yaml`:                          `C:\new\m.yaml`,
		"A–B 木 é e\u0301 \U0001F600 \ufffd":      "A–B 木 é e\u0301 \U0001F600 \ufffd",
		"a\x1b]0;title\x07":                      `a\x1b]0;title\a`,
		"a\r\nb\tc":                              `a\r\nb\tc`,
		"a\u009bb\u0085c\x7f":                    `a\u009bb\u0085c\x7f`,
		"\xff\xfea":                              `\xff\xfea`,
		"a\xe2\x80":                              `a\xe2\x80`,
		"\u202a\u202b\u202c\u202d\u202e":         `\u202a\u202b\u202c\u202d\u202e`,
		"\u2066\u2067\u2068\u2069":               `\u2066\u2067\u2068\u2069`,
		"\u200e\u200f\u061c":                     `\u200e\u200f\u061c`,
		"\u200b\u200c\u200d\ufeff\u2060":         `\u200b\u200c\u200d\ufeff\u2060`,
		"\u2028\u2029\u00a0\u3000\u00ad":         `\u2028\u2029\u00a0\u3000\u00ad`,
		"\u3164\u034f\ufe0f\U000e0041\U000e0100": `\u3164\u034f\ufe0f\U000e0041\U000e0100`,
		"\ue000\U0010ffff":                       `\ue000\U0010ffff`,
	} {
		assert.Equal(t, want, words.Visible(text), strconv.QuoteToASCII(text))
		assert.Equal(t, want, words.Visible(want), "once is enough")
	}
}

// Every character there is: one that controls, formats or separates is written out,
// and can be told from what is written.
func TestVisibleOfEveryCharacter(t *testing.T) {
	hidden := 0
	for r := rune(0); r <= utf8.MaxRune; r++ {
		if !utf8.ValidRune(r) {
			continue
		}
		shown := words.Visible(string(r))
		if (shown == string(r)) != (words.VisibleRune(r) == r) {
			t.Fatalf("%U is shown in one way and not the other", r)
		}
		if shown == string(r) {
			if r != ' ' && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Z, unicode.Bidi_Control, unicode.Join_Control) {
				t.Fatalf("%U shows as it is", r)
			}
			continue
		}
		hidden++
		if back, err := strconv.Unquote(`"` + shown + `"`); err != nil || back != string(r) {
			t.Fatalf("%U shows as %q", r, shown)
		}
	}
	assert.Greater(t, hidden, 100_000) // most of them not assigned
}

func FuzzVisible(f *testing.F) {
	f.Add("a\x1bb\xff\u202e\"'`\\")
	f.Fuzz(func(t *testing.T, text string) {
		shown := words.Visible(text)
		assert.True(t, utf8.ValidString(shown))
		assert.Equal(t, shown, words.Visible(shown))
	})
}
