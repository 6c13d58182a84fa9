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
		shown = path.Base(local)
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

// alike finds the one name that equals name but for case and accents' spelling,
// folder by folder.
func (s *shelf) alike(name string) string {
	if s.list == nil {
		return only(s.names, func(n string) bool { return fold(n) == fold(name) })
	}
	dir := "."
	steps := strings.Split(name, "/")
	for _, step := range steps {
		n := only(s.list(dir), func(n string) bool { return fold(path.Base(n)) == fold(step) })
		if n == "" {
			return ""
		}
		dir = n
	}
	return dir
}

func (s *shelf) anywhere(m *main, base string) string {
	names := s.names
	if s.list != nil {
		names = s.list(m.dir)
	}
	if n := only(names, func(n string) bool { return path.Base(n) == base }); n != "" {
		return n
	}
	return only(names, func(n string) bool { return fold(path.Base(n)) == fold(base) })
}

// only answers the one name that fits, "" when none or several do.
func only(names []string, fits func(string) bool) string {
	found := ""
	for _, n := range names {
		if fits(n) {
			if found != "" {
				return ""
			}
			found = n
		}
	}
	return found
}
