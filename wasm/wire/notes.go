package wire

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"reflect"
	"strings"
)

// notes are the comments of structs, read from their sources when they are asked for.
type notes struct {
	root, module string
	of           map[string]map[string]note // by package and type
}

type note struct {
	of     string
	fields map[string]string
}

// in answers the comments of a type; none where its source is not there.
func (n *notes) in(typ reflect.Type) note {
	dir, ours := strings.CutPrefix(typ.PkgPath(), n.module+"/")
	if !ours {
		return note{}
	}
	all, known := n.of[dir]
	if !known {
		all = read(os.DirFS(n.root), dir)
		n.of[dir] = all
	}
	return all[typ.Name()]
}

func read(fsys fs.FS, dir string) map[string]note {
	all := map[string]note{}
	files, _ := fs.Glob(fsys, path.Join(dir, "*.go"))
	for _, name := range files {
		text, err := fs.ReadFile(fsys, name)
		if err != nil {
			continue
		}
		tree, err := parser.ParseFile(token.NewFileSet(), name, text, parser.ParseComments)
		if err != nil {
			continue
		}
		for _, d := range tree.Decls {
			g, is := d.(*ast.GenDecl)
			if !is || g.Tok != token.TYPE {
				continue
			}
			for _, s := range g.Specs {
				spec := s.(*ast.TypeSpec)
				of := note{line(spec.Doc, g.Doc), map[string]string{}}
				if st, is := spec.Type.(*ast.StructType); is {
					for _, f := range st.Fields.List {
						for _, ident := range f.Names {
							of.fields[ident.Name] = line(f.Doc, f.Comment)
						}
					}
				}
				all[spec.Name.Name] = of
			}
		}
	}
	return all
}

// line is the first of some comments that says anything, on one line.
func line(groups ...*ast.CommentGroup) string {
	for _, g := range groups {
		if text := strings.Join(strings.Fields(g.Text()), " "); text != "" {
			return text
		}
	}
	return ""
}
