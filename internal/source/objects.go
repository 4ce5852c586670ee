// What git has stored, read by one running git: contents by their hash, and trees,
// in which names are bytes and nothing is quoted. A file is found in a tree, or in
// the index, as the system would find it in a folder: symbolic links are followed as
// long as they stay inside.
package source

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"path"
	"strconv"
	"strings"
)

// The modes of what is in a tree (git's documentation of fast-import lists them).
const (
	modeFolder    = "40000"
	modeLink      = "120000"
	modeSubmodule = "160000"
)

// maxTreeBytes bounds a folder that is read: some hundred thousand names.
const maxTreeBytes = 16 << 20

// entry is what a tree or the index has under a name; the zero entry is none.
type entry struct{ mode, hash string }

func (e entry) isFile() bool { return strings.HasPrefix(e.mode, "100") }

// objects reads from git's store until it is closed.
type objects struct {
	git  *exec.Cmd
	in   io.WriteCloser
	out  *bufio.Reader
	said beginning
	// Of trees that were looked into: what they have under a name. Histories ask for
	// few names in many trees.
	seen map[[2]string]entry
}

func openObjects() (*objects, error) {
	o := &objects{git: gitCommand("cat-file", "--batch"), seen: map[[2]string]entry{}}
	o.git.Stderr = &o.said
	in, err := o.git.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := o.git.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := o.git.Start(); err != nil {
		return nil, notRun(err)
	}
	o.in, o.out = in, bufio.NewReader(out)
	return o, nil
}

// close ends git; what it had still to say is of no interest.
func (o *objects) close() {
	_ = o.in.Close()
	_ = o.git.Process.Kill()
	_ = o.git.Wait()
}

// read reads one object by its hash, or the tree of a commit by HASH^{tree}. Of a
// larger one than limit the first limit+1 bytes come, and it must be the last one
// that is read.
func (o *objects) read(name, kind string, limit int64) (hash string, contents []byte, err error) {
	if _, err := io.WriteString(o.in, name+"\n"); err != nil {
		return "", nil, errors.New(cmp.Or(o.said.reason(), "git ended early"))
	}
	head, err := o.out.ReadString('\n')
	words := strings.Fields(head)
	switch {
	case err != nil:
		return "", nil, errors.New(cmp.Or(o.said.reason(), "git ended early"))
	case len(words) == 2:
		return "", nil, fmt.Errorf("the object %s is %s in this repository", name, words[1])
	case len(words) != 3 || words[1] != kind:
		return "", nil, fmt.Errorf("the object %s is no %s", name, kind)
	}
	size, err := strconv.ParseInt(words[2], 10, 64)
	if err != nil || size < 0 {
		return "", nil, fmt.Errorf("the object %s has no size", name)
	}
	if contents, err = io.ReadAll(io.LimitReader(o.out, min(size, limit+1))); err != nil {
		return "", nil, err
	}
	if size <= limit {
		_, err = o.out.Discard(1) // the line's end
	}
	return words[0], contents, err
}

// under finds a name in a tree.
func (o *objects) under(tree, name string) (entry, error) {
	if e, ok := o.seen[[2]string{tree, name}]; ok {
		return e, nil
	}
	var found entry
	err := o.names(tree, func(one string, e entry) {
		if one == name {
			found = e
		}
	})
	if err == nil {
		o.seen[[2]string{tree, name}] = found
	}
	return found, err
}

// names lists a tree.
func (o *objects) names(tree string, each func(name string, e entry)) error {
	hash, text, err := o.read(tree, "tree", maxTreeBytes)
	if err != nil {
		return err
	}
	if len(text) > maxTreeBytes {
		return fmt.Errorf("a folder has more than %d bytes of names", maxTreeBytes)
	}
	return namesIn(text, len(hash)/2, each)
}

// namesIn takes a tree object apart: for each name its mode, a space, the name, a
// zero, and the bytes of the hash (git's source, tree-walk; from memory).
func namesIn(text []byte, hashBytes int, each func(name string, e entry)) error {
	for len(text) > 0 {
		end := bytes.IndexByte(text, 0)
		if end < 0 || len(text) < end+1+hashBytes {
			return errors.New("a folder cannot be read")
		}
		mode, name, ok := strings.Cut(string(text[:end]), " ")
		if !ok {
			return errors.New("a folder cannot be read")
		}
		each(name, entry{mode, hex.EncodeToString(text[end+1 : end+1+hashBytes])})
		text = text[end+1+hashBytes:]
	}
	return nil
}

// folder is what paths are looked up in: the tree of a revision, or the index.
type folder struct {
	name        string // for people
	tree, stage string // of which one is set
	store       *objects
	find        func(path string) (entry, error)
	// alike is a path that differs from one in case alone, if there is one.
	alike func(path string) string
}

// ofTree looks into a tree.
func ofTree(store *objects, name, tree string) folder {
	find := func(file string) (entry, error) {
		e := entry{modeFolder, tree}
		for part := range strings.SplitSeq(file, "/") {
			var err error
			switch {
			case file == ".":
			case e.mode != modeFolder:
				return entry{}, nil
			default:
				if e, err = store.under(e.hash, part); err != nil {
					return entry{}, err
				}
			}
		}
		return e, nil
	}
	alike := func(file string) (other string) {
		if in, err := find(path.Dir(file)); err == nil && in.mode == modeFolder {
			_ = store.names(in.hash, func(one string, _ entry) {
				if strings.EqualFold(one, path.Base(file)) {
					other = path.Join(path.Dir(file), one)
				}
			})
		}
		return other
	}
	return folder{name: name, tree: tree, store: store, find: find, alike: alike}
}

// file finds the file of a path, through symbolic links that stay under root; "."
// is the top. A link that leads anywhere else is refused, as is a submodule, whose
// files are in another repository.
func (f folder) file(root, file string) (entry, error) {
	found, at, err := f.follow(root, file)
	switch {
	case err != nil:
		return entry{}, err
	case found.mode == modeFolder:
		return entry{}, fmt.Errorf("%s is a folder in %s; name the file in it", at, f.name)
	case !found.isFile():
		return entry{}, fmt.Errorf("%s is not a file in %s", at, f.name)
	}
	return found, nil
}

// maxLinks is how many symbolic links are followed, as by Linux (path_resolution(7)).
const maxLinks = 40

// follow finds what is at a path, and where that is behind all links.
func (f folder) follow(root, file string) (found entry, at string, err error) {
	for range maxLinks {
		last, err := f.find(file)
		if err != nil {
			return entry{}, "", err
		}
		if last.mode != "" && last.mode != modeLink && last.mode != modeSubmodule {
			return last, file, nil
		}
		link := file
		if last.mode == "" { // nothing there, or behind a link
			if link, last, err = f.barrier(file); err != nil {
				return entry{}, "", err
			}
		}
		switch last.mode {
		case modeSubmodule:
			return entry{}, "", fmt.Errorf("%s is a submodule in %s, and its files are in a repository of its own; run this in its folder", link, f.name)
		case modeLink:
			if file, err = f.behind(root, link, last, strings.TrimPrefix(file, link)); err != nil {
				return entry{}, "", err
			}
		default:
			if alike := f.alike(file); alike != "" {
				return entry{}, "", missing(fmt.Sprintf("there is no %s in %s; %s is spelt otherwise", file, f.name, alike))
			}
			return entry{}, "", missing(fmt.Sprintf("there is no %s in %s", file, f.name))
		}
	}
	return entry{}, "", fmt.Errorf("%s leads through more than %d symbolic links in %s", file, maxLinks, f.name)
}

// missing is the error of a path that is not there.
type missing string

func (m missing) Error() string { return string(m) }

// barrier is the first folder on the way to a path that is none, if there is one.
func (f folder) barrier(file string) (string, entry, error) {
	for i := range len(file) {
		if file[i] != '/' {
			continue
		}
		e, err := f.find(file[:i])
		if err != nil || e.mode == modeLink || e.mode == modeSubmodule {
			return file[:i], e, err
		}
	}
	return file, entry{}, nil
}

// behind is the path that a symbolic link and the rest of a path behind it stand for.
func (f folder) behind(root, link string, e entry, rest string) (string, error) {
	_, text, err := f.store.read(e.hash, "blob", 4096)
	if err != nil {
		return "", err
	}
	to := string(text)
	up := strings.TrimLeft(to, "./") // what it goes up first
	target := path.Join(path.Dir(link), to)
	switch {
	case to == "" || len(to) > 4096 || path.IsAbs(to) || target == ".." || strings.HasPrefix(target, "../"):
		return "", fmt.Errorf("%s is a symbolic link in %s, to %q outside of the repository", link, f.name, to)
	case root != "." && target != root && !strings.HasPrefix(target, root+"/"):
		return "", fmt.Errorf("%s is a symbolic link in %s, to %q outside of the folder of the mission", link, f.name, to)
	case strings.Contains("/"+up+"/", "/../"): // where that is depends on what is a link before it
		return "", fmt.Errorf("%s is a symbolic link in %s, to %q: it goes up behind a name, and is not followed", link, f.name, to)
	}
	return path.Join(target, rest), nil
}

// contents reads a file. What git keeps elsewhere is not there.
func (o *objects) contents(e entry, limit int64) ([]byte, error) {
	_, text, err := o.read(e.hash, "blob", limit)
	if err == nil && isPointer(text) {
		return nil, errors.New("git has a pointer of its large file storage in place of the contents; keep missions and marks in git itself")
	}
	return text, err
}

// isPointer says that a text stands for a file which git's large file storage keeps
// elsewhere (its specification of pointers; from memory).
func isPointer(text []byte) bool {
	return bytes.HasPrefix(text, []byte("version https://git-lfs")) && bytes.Contains(text[:min(len(text), 1024)], []byte("\noid "))
}
