package words_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"merestone/internal/words"
)

func TestReflow(t *testing.T) {
	for _, c := range []struct{ name, page, want string }{
		{"a paragraph", "one two three\nfour\n", "one two\nthree four\n"},
		{"paragraphs stay apart", "one\n\ntwo\n", "one\n\ntwo\n"},
		{"a heading stays", "# heading\ntext\n", "# heading\ntext\n"},
		{"a long one hangs", "# a very long heading\ntext\n", "# a very\n  long\n  heading\ntext\n"},
		{"a list hangs", "- one two three\n- four\n  five\n", "- one two\n  three\n- four five\n"},
		{"a numbered one", "10. one two\n    three\n", "10. one two\n    three\n"},
		{"formulas stay", "so:\n\n    a = b + c + d\n\nand\n", "so:\n\n    a = b + c + d\n\nand\n"},
		{"tables stay", "| a | b and c |\n| --- | --- |\n", "| a | b and c |\n| --- | --- |\n"},
		{"code stays", "```\na b c d e f g\n\nh\n```\none two three\n", "```\na b c d e f g\n\nh\n```\none two\nthree\n"},
	} {
		assert.Equal(t, c.want, words.Reflow(c.page, 11), c.name)
	}
}
