// Names that count up, told as such.
package words

import (
	"fmt"
	"strconv"
	"strings"
)

// Runs has "T1 to T13" for names that count up by one, three or more in a row; others are
// as they are.
func Runs(names []string) []string {
	var said []string
	for i := 0; i < len(names); {
		stem, number, counts := counted(names[i])
		last := i
		for counts && last+1 < len(names) && names[last+1] == fmt.Sprintf("%s%d", stem, number+last+1-i) {
			last++
		}
		if last-i >= 2 {
			said = append(said, names[i]+" to "+names[last])
			i = last + 1
			continue
		}
		said = append(said, names[i])
		i++
	}
	return said
}

// counted splits a name that ends with a number, written without leading zeros.
func counted(name string) (stem string, number int, ok bool) {
	stem = strings.TrimRight(name, "0123456789")
	digits := name[len(stem):]
	if digits == "" || len(digits) > 9 || len(digits) > 1 && digits[0] == '0' {
		return name, 0, false
	}
	number, err := strconv.Atoi(digits)
	return stem, number, err == nil
}
