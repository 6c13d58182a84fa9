// Command long names functions of the project's Go, tests apart, that are longer than a
// screen or two: most of them hide a step that wants a name and a contract. It fails where
// one is neither short nor in the list of exceptions, and where an exception is no longer
// needed.
package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"log"
	"os"
	"path"
	"slices"
	"strings"
)

// most is how many lines a function may have, from `func` to its last brace: set by the
// issue that asked for this program.
const most = 80

func main() {
	log.SetFlags(0)
	log.SetPrefix("long: ")
	list, err := look(os.DirFS("."))
	if err != nil {
		log.Fatal(err)
	}
	wrong := judge(list, allowed)
	for _, w := range wrong {
		fmt.Println(w)
	}
	if len(wrong) > 0 {
		os.Exit(1)
	}
}

// function is one that is longer than most.
type function struct {
	Name  string // folder and name, with the receiver's type: "inspect/bends zone.findBleed"
	Place string // file:line
	Lines int
}

// look finds what is too long in all Go files but tests, whatever they are built for.
func look(root fs.FS) (list []function, err error) {
	err = fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "node_modules" || d.Name() == "testdata" || d.Name() == "dist" || strings.HasPrefix(d.Name(), ".") && name != "."):
			return fs.SkipDir
		case d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go"):
			return nil
		}
		text, err := fs.ReadFile(root, name)
		if err != nil {
			return err
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, name, text, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		for _, d := range file.Decls {
			f, is := d.(*ast.FuncDecl)
			if !is {
				continue
			}
			from, to := set.Position(f.Pos()), set.Position(f.End())
			if n := to.Line - from.Line + 1; n > most {
				list = append(list, function{path.Dir(name) + " " + called(f), fmt.Sprintf("%s:%d", name, from.Line), n})
			}
		}
		return nil
	})
	return list, err
}

// called is a function's name, with the type it belongs to.
func called(f *ast.FuncDecl) string {
	if f.Recv == nil {
		return f.Name.Name
	}
	of := f.Recv.List[0].Type
	if p, is := of.(*ast.StarExpr); is {
		of = p.X
	}
	if g, is := of.(*ast.IndexExpr); is {
		of = g.X
	}
	if id, is := of.(*ast.Ident); is {
		return id.Name + "." + f.Name.Name
	}
	return f.Name.Name
}

// judge answers what is wrong: too long and not allowed, or allowed without need.
func judge(list []function, allowed map[string]string) (wrong []string) {
	needed := map[string]bool{}
	for _, f := range list {
		needed[f.Name] = true
		if allowed[f.Name] == "" {
			wrong = append(wrong, fmt.Sprintf("%s: %s has %d lines, %d at most: name a step of it, or say in site/long/allowed.go why not", f.Place, f.Name, f.Lines, most))
		}
	}
	for name := range allowed {
		if !needed[name] {
			wrong = append(wrong, fmt.Sprintf("site/long/allowed.go: %s is short now, or gone: take it out", name))
		}
	}
	slices.Sort(wrong)
	return wrong
}
