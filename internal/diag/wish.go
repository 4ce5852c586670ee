package diag

// Wish is a way to follow a remedy that is known by keys of the mission and not by places:
// rules see what a mission means, and not where or how it is written. Whoever has both
// makes fixes of wishes, where the keys are written (internal/pipeline).
type Wish struct {
	Does string
	Set  []Setting // all together
}

// Setting is what a key is to hold.
type Setting struct {
	Paths []string // of the key: the first that is written
	Text  string
	As    string // in place of Text: what is written now at this path
}

// Want adds a wish for one key: the first of these that is written.
func (f *Finding) Want(text string, paths ...string) {
	f.Wishes = append(f.Wishes, Wish{"write " + text, []Setting{{Paths: paths, Text: text}}})
}
