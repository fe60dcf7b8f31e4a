package layers_test

import (
	"fmt"
	"go/ast"
	"go/token"
	"slices"
	"strings"
	"testing"
)

// Past these a file or function is taken apart, whatever the reason. All
// else the mirror only shows (run it with -v): a long table is fine, and a
// helper torn out to please a number is not.
const (
	maxFileLines  = 600
	maxCyclomatic = 15
)

// branched are functions over maxCyclomatic that are right as they are. A
// line whose function is back under the limit fails, unless its package is
// not there at all.
var branched = map[string]string{
	"internal/consent.listProblem": "one line for each list a rule holds; in parts it would hide that one is missing",
	"internal/consent.bandProblem": "one sentence for each way a band can be wrong, in the order they are told",
}

// TestMirror shows how long and how branched the code is, tests and
// generated files aside.
func TestMirror(t *testing.T) {
	t.Parallel()
	_, files := load(t)
	c := newChecker("")
	var all, pure sizes
	for _, f := range files {
		if f.generated {
			continue
		}
		into := &all
		if c.rules[f.pkg].group == core && c.rules[f.pkg].path != "" {
			into = &pure
		}
		into.add(t, f)
	}
	for name, why := range branched {
		there := slices.ContainsFunc(files, func(f file) bool { return strings.HasPrefix(name, f.pkg+".") })
		if there && !slices.Contains(slices.Concat(pure.branched, all.branched), name) {
			t.Errorf("%s (%s) is not over the limit any more: take its line out", name, why)
		}
	}
	pure.log(t, "core")
	all.log(t, "the rest")
	if code := pure.code() + all.code(); code > 0 {
		t.Logf("core is %d %% of %d lines", 100*pure.code()/code, code)
	}
}

// sizes gathers what the mirror shows of one group of packages.
type sizes struct {
	fileLines, functionLines, cyclomatic []int
	testLines, exported, documented      int
	branched                             []string
}

func (s *sizes) add(t *testing.T, f file) {
	t.Helper()
	if f.test {
		s.testLines += f.lines
		return
	}
	s.fileLines = append(s.fileLines, f.lines)
	if f.lines > maxFileLines {
		t.Errorf("%s has %d lines, over %d", f.name, f.lines, maxFileLines)
	}
	for _, declaration := range f.syntax.Decls {
		s.count(declaration)
		function, ok := declaration.(*ast.FuncDecl)
		if !ok || function.Body == nil {
			continue
		}
		s.functionLines = append(s.functionLines, f.set.Position(function.End()).Line-f.set.Position(function.Pos()).Line+1)
		branches := cyclomatic(function)
		s.cyclomatic = append(s.cyclomatic, branches)
		if branches > maxCyclomatic {
			name := f.pkg + "." + function.Name.Name
			s.branched = append(s.branched, name)
			if branched[name] == "" {
				t.Errorf("%s: %s has cyclomatic complexity %d, over %d", f.at(function), name, branches, maxCyclomatic)
			}
		}
	}
}

// count counts exported names and those of them with a comment.
func (s *sizes) count(declaration ast.Decl) {
	tally := func(name *ast.Ident, documented bool) {
		if name.IsExported() {
			s.exported++
			if documented {
				s.documented++
			}
		}
	}
	switch d := declaration.(type) {
	case *ast.FuncDecl:
		tally(d.Name, d.Doc != nil)
	case *ast.GenDecl:
		for _, spec := range d.Specs {
			switch s := spec.(type) {
			case *ast.TypeSpec:
				tally(s.Name, s.Doc != nil || d.Doc != nil)
			case *ast.ValueSpec:
				for _, name := range s.Names {
					tally(name, s.Doc != nil || s.Comment != nil || d.Doc != nil)
				}
			}
		}
	}
}

func (s *sizes) code() (lines int) {
	for _, n := range s.fileLines {
		lines += n
	}
	return lines
}

func (s *sizes) log(t *testing.T, name string) {
	t.Helper()
	if len(s.fileLines) == 0 {
		t.Logf("%s: nothing yet", name)
		return
	}
	t.Logf("%s, median/p90/max: function lines %s, file lines %s, cyclomatic %s; %d functions, %d files; exported with a comment %d of %d; test lines per code line %.1f",
		name, spreadOf(s.functionLines), spreadOf(s.fileLines), spreadOf(s.cyclomatic), len(s.functionLines), len(s.fileLines),
		s.documented, s.exported, float64(s.testLines)/float64(s.code()))
}

// spreadOf gives median, 90th percentile and greatest, by nearest rank.
func spreadOf(values []int) string {
	if len(values) == 0 {
		return "none"
	}
	sorted := slices.Sorted(slices.Values(values))
	rank := func(percent int) int { return sorted[(len(sorted)*percent+99)/100-1] }
	return fmt.Sprintf("%d/%d/%d", rank(50), rank(90), sorted[len(sorted)-1])
}

// cyclomatic counts the ways through a function (McCabe 1976): one, and one
// more for each if, loop, case and short-circuit operator. Function literals
// count where they stand. A switch on a value whose every case only returns
// is a table written as code, as core has no package variables that could
// hold one, and counts once.
func cyclomatic(function *ast.FuncDecl) int {
	ways := 1
	ast.Inspect(function, func(node ast.Node) bool {
		switch n := node.(type) {
		case *ast.SwitchStmt:
			if isTable(n) {
				ways++
				return false
			}
		case *ast.IfStmt, *ast.ForStmt, *ast.RangeStmt:
			ways++
		case *ast.CaseClause:
			if n.List != nil {
				ways++
			}
		case *ast.CommClause:
			if n.Comm != nil {
				ways++
			}
		case *ast.BinaryExpr:
			if n.Op == token.LAND || n.Op == token.LOR {
				ways++
			}
		}
		return true
	})
	return ways
}

// isTable reports whether every case of a switch on a value is a lone return
// of plain values.
func isTable(statement *ast.SwitchStmt) bool {
	if statement.Tag == nil {
		return false
	}
	for _, clause := range statement.Body.List {
		body := clause.(*ast.CaseClause).Body
		if len(body) != 1 {
			return false
		}
		result, ok := body[0].(*ast.ReturnStmt)
		if !ok || slices.ContainsFunc(result.Results, branches) {
			return false
		}
	}
	return true
}

// branches reports whether an expression has ways of its own through it.
func branches(expression ast.Expr) (found bool) {
	ast.Inspect(expression, func(node ast.Node) bool {
		binary, ok := node.(*ast.BinaryExpr)
		_, literal := node.(*ast.FuncLit)
		found = found || literal || ok && (binary.Op == token.LAND || binary.Op == token.LOR)
		return !found
	})
	return found
}

func TestCyclomatic(t *testing.T) {
	t.Parallel()
	f, err := parseText("a/a.go", []byte(`package a
func straight() {}
func branched(a, b bool, n int) {
	if a && b || n > 0 {
		for range n {
		}
	}
	switch n {
	case 1, 2:
	default:
	}
	func() { if a { return } }()
}
func table(n int) string {
	switch n {
	case 1:
		return "one"
	case 2:
		return "two"
	}
	return ""
}
func noTable(n int, a, b bool) bool {
	switch n {
	case 1:
		return a && b
	case 2:
		return b
	}
	return false
}
`))
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []int{1, 7, 2, 4} {
		if got := cyclomatic(f.syntax.Decls[i].(*ast.FuncDecl)); got != want {
			t.Errorf("function %d: %d, want %d", i, got, want)
		}
	}
}

func TestSpreadOf(t *testing.T) {
	t.Parallel()
	for want, values := range map[string][]int{
		"none":   nil,
		"7/7/7":  {7},
		"5/9/10": {10, 9, 8, 7, 6, 5, 4, 3, 2, 1},
	} {
		if got := spreadOf(values); got != want {
			t.Errorf("%v: %s, want %s", values, got, want)
		}
	}
}
