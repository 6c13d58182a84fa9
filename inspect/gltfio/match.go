package gltfio

import (
	"errors"
	"io/fs"
	"net/url"
	"path"
	"strings"
)

// find looks for the side file that a model names by uri. shown is its name for a
// person; err is fs.ErrNotExist when it is not there. Nothing outside the shelf is ever
// asked for: an address on a network, an absolute path or one that climbs out of
// the folder can only be met by a file of that name beside the model.
func (s *shelf) find(m *main, uri string) (data []byte, shown string, err error) {
	plain := uri
	if p, err := url.PathUnescape(uri); err == nil {
		plain = p
	}
	slashed := strings.ReplaceAll(plain, `\`, "/")
	shown = strings.TrimPrefix(slashed, "./")
	local := path.Clean(slashed)
	outside := isRemote(slashed) || strings.HasPrefix(local, "/") || local == ".." || strings.HasPrefix(local, "../")
	if outside {
		local, _, _ = strings.Cut(path.Base(local), "?")
		shown = local
	}
	take := func(name, how string) bool {
		if name == "" || name == "." {
			return false
		}
		d, e := s.read(name)
		if e != nil {
			if err == nil || !errors.Is(e, fs.ErrNotExist) {
				err = e
			}
			return false
		}
		s.used[name] = true
		data, err = d, nil
		if how != "" {
			s.remarks = append(s.remarks, quote(uri)+" was taken from "+quote(name)+": "+how)
		}
		return true
	}
	if !outside {
		how := ""
		if slashed != plain {
			how = `\ stands for / in it`
		}
		if take(path.Join(m.dir, local), how) {
			return data, shown, nil
		}
		if uri != plain && take(path.Join(m.dir, path.Clean(uri)), "the file's own name holds the percent signs") {
			return data, shown, nil
		}
		if n := s.alike(path.Join(m.dir, local)); take(n, "written otherwise (case or accents)") {
			return data, shown, nil
		}
	}
	// The last resort: the same name in any folder handed over, if it is the only one.
	for _, base := range []string{path.Base(local), path.Base(path.Clean(strings.ReplaceAll(uri, `\`, "/")))} {
		if n := s.anywhere(m, base); take(n, "in another folder than the model says") {
			return data, shown, nil
		}
	}
	if err == nil {
		err = fs.ErrNotExist
	}
	return nil, shown, err
}

// isRemote tells a URI with a scheme (file:, http:, C:) from a relative path.
func isRemote(s string) bool {
	i := strings.IndexAny(s, ":/")
	return i > 0 && s[i] == ':' || strings.HasPrefix(s, "//")
}

// isAddress tells a URI that names another machine: with a host behind //.
func isAddress(uri string) bool {
	s := strings.ReplaceAll(uri, `\`, "/")
	scheme, rest, ok := strings.Cut(s, "//")
	return ok && rest != "" && rest[0] != '/' && (scheme == "" || strings.HasSuffix(scheme, ":") && len(scheme) > 2)
}

// alike finds the one name that equals name but for case and accents' spelling,
// folder by folder.
func (s *shelf) alike(name string) string {
	if s.list == nil {
		return s.index().folded[fold(name)]
	}
	dir := "."
	for step := range strings.SplitSeq(name, "/") {
		found := newIndex(s.list(dir)).foldedBase[fold(step)]
		if found == "" {
			return ""
		}
		dir = found
	}
	return dir
}

// anywhere finds the one file with a base name, in whatever folder of a drop.
func (s *shelf) anywhere(m *main, base string) string {
	x := s.index()
	if s.list != nil {
		x = newIndex(s.list(m.dir))
	}
	if n := x.base[base]; n != "" {
		return n
	}
	return x.foldedBase[fold(base)]
}

// index finds names by looser and looser spellings. A spelling that several names
// share finds none of them.
type index struct{ folded, base, foldedBase map[string]string }

func (s *shelf) index() *index {
	if s.found == nil {
		s.found = newIndex(s.names)
	}
	return s.found
}

func newIndex(names []string) *index {
	x := &index{map[string]string{}, map[string]string{}, map[string]string{}}
	add := func(m map[string]string, key, name string) {
		if _, twice := m[key]; twice {
			name = ""
		}
		m[key] = name
	}
	for _, n := range names {
		if isHidden(n) {
			continue
		}
		add(x.folded, fold(n), n)
		add(x.base, path.Base(n), n)
		add(x.foldedBase, fold(path.Base(n)), n)
	}
	return x
}
