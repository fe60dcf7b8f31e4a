package layers_test

import (
	"bufio"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// A file is one Go source file of the module, whatever its build tags.
type file struct {
	pkg       string // its package's path below the module's root
	name      string // its own path below the module's root
	test      bool
	generated bool
	lines     int
	syntax    *ast.File
	set       *token.FileSet
}

// imports lists what the file imports.
func (f file) imports() []string {
	var paths []string
	for _, spec := range f.syntax.Imports {
		path, err := strconv.Unquote(spec.Path.Value)
		if err == nil {
			paths = append(paths, path)
		}
	}
	return paths
}

// at says where a node of the file is.
func (f file) at(node ast.Node) string {
	return fmt.Sprintf("%s:%d", f.name, f.set.Position(node.Pos()).Line)
}

// load reads every Go file of the module. It reads the folders itself rather
// than ask the go command, which leaves out what other build tags ask for
// and stops at what does not compile.
func load(t *testing.T) (module string, files []file) {
	t.Helper()
	root, module := findModule(t)
	err := filepath.WalkDir(root, func(at string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() {
			return enter(root, at, entry.Name())
		}
		if filepath.Ext(at) == ".go" {
			f, err := parse(root, at)
			if err != nil {
				return err
			}
			files = append(files, f)
		}
		return nil
	})
	if err != nil {
		t.Fatalf("reading the module's sources: %v", err)
	}
	if len(files) < 5 {
		t.Fatalf("only %d Go files found below %s: the search is broken", len(files), root)
	}
	return module, files
}

// enter skips folders that the go command would not look into either.
func enter(root, at, name string) error {
	if at == root {
		return nil
	}
	if strings.HasPrefix(name, ".") || strings.HasPrefix(name, "_") || name == "testdata" || name == "node_modules" {
		return fs.SkipDir
	}
	_, err := os.Stat(filepath.Join(at, "go.mod"))
	if err == nil {
		return fs.SkipDir
	}
	return nil
}

func parse(root, at string) (file, error) {
	text, err := os.ReadFile(at)
	if err != nil {
		return file{}, err
	}
	relative, err := filepath.Rel(root, at)
	if err != nil {
		return file{}, err
	}
	return parseText(filepath.ToSlash(relative), text)
}

func parseText(name string, text []byte) (file, error) {
	set := token.NewFileSet()
	syntax, err := parser.ParseFile(set, name, text, parser.ParseComments|parser.SkipObjectResolution)
	if err != nil {
		return file{}, err
	}
	return file{
		pkg: path.Dir(name), name: name, test: strings.HasSuffix(name, "_test.go"),
		generated: ast.IsGenerated(syntax), lines: set.File(syntax.Pos()).LineCount() - 1,
		syntax: syntax, set: set,
	}, nil
}

// findModule returns the folder and the path of the module this test is in.
func findModule(t *testing.T) (root, module string) {
	t.Helper()
	root, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		open, err := os.Open(filepath.Join(root, "go.mod"))
		if err == nil {
			defer open.Close()
			return root, moduleLine(t, open)
		}
		if root == filepath.Dir(root) {
			t.Fatal("no go.mod above this test")
		}
		root = filepath.Dir(root)
	}
}

func moduleLine(t *testing.T, open fs.File) string {
	t.Helper()
	scanner := bufio.NewScanner(open)
	for scanner.Scan() {
		if module, found := strings.CutPrefix(scanner.Text(), "module "); found {
			return strings.TrimSpace(module)
		}
	}
	t.Fatal("go.mod names no module")
	return ""
}
