package layers_test

import (
	"fmt"
	"go/ast"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// checker holds the module's path and the rules by package.
type checker struct {
	module string
	rules  map[string]rule
}

func newChecker(module string) checker {
	c := checker{module: module, rules: map[string]rule{}}
	for _, r := range rules {
		c.rules[r.path] = r
	}
	return c
}

func TestImports(t *testing.T) {
	t.Parallel()
	module, files := load(t)
	c := newChecker(module)
	for _, f := range files {
		for _, problem := range c.file(f) {
			t.Error(problem)
		}
	}
}

// file lists what is wrong with a file's imports.
func (c checker) file(f file) (problems []string) {
	r, listed := c.rules[f.pkg]
	if !listed {
		return []string{fmt.Sprintf("%s: package %s is not in the table of rules_test.go: give it a line and a reason, or find its code a better home", f.name, f.pkg)}
	}
	for _, path := range f.imports() {
		why := c.refuse(r, f.test, path)
		if why != "" {
			problems = append(problems, fmt.Sprintf("%s imports %s: %s", f.name, path, why))
		}
	}
	if r.group == core && !f.test {
		problems = append(problems, clockUse(f)...)
	}
	return problems
}

// refuse says why a package may not import path, or nothing if it may.
func (c checker) refuse(r rule, test bool, path string) string {
	own, isProject := strings.CutPrefix(path, c.module+"/")
	switch {
	case test && isProject:
		return c.refuseProjectInTest(r, own)
	case test:
		return refuseInTest(r, path)
	case isProject:
		return c.refuseProject(r, own)
	case isStd(path):
		return refuseStd(r, path)
	}
	return refuseModule(r, path)
}

func (c checker) refuseProject(r rule, own string) string {
	if c.rules[own].group == forTests && r.group != forTests {
		return "it is for tests alone"
	}
	if c.allows(r, own) {
		return ""
	}
	return fmt.Sprintf("%s may import %v (%s)", r.path, r.project, r.why)
}

// allows reports whether the rule names the project's package own.
func (c checker) allows(r rule, own string) bool {
	target, listed := c.rules[own]
	return slices.Contains(r.project, own) || slices.Contains(r.project, "*") ||
		listed && target.group == core && slices.Contains(r.project, "core")
}

// refuseProjectInTest is looser: outside core, tests build what they need.
func (c checker) refuseProjectInTest(r rule, own string) string {
	if r.group != core || own == r.path || own == "internal/testkit" || c.rules[own].group == core && c.rules[own].path != "" {
		return ""
	}
	return "the tests of core need nothing but core and testkit"
}

func refuseInTest(r rule, path string) string {
	for _, ban := range testBans {
		if within(path, ban.module) {
			return ban.why
		}
	}
	if isStd(path) || r.group != core || slices.ContainsFunc(testModules, func(m string) bool { return within(path, m) }) {
		return ""
	}
	return "not among testModules"
}

func refuseStd(r rule, path string) string {
	if r.tablet && slices.Contains(tabletBans, path) && tabletDebts[r.path+" "+path] == "" {
		return "the tablet loads this package, and that import makes it large"
	}
	if path == "testing" && r.group != forTests {
		return "the program does not carry its tests' machinery"
	}
	switch r.group {
	case core:
		if !slices.Contains(coreStd, path) {
			return "core takes only coreStd from the standard library: no context, clock, randomness, SQL, HTTP, files or logging"
		}
	case data:
		if !slices.Contains(dataStd, path) {
			return "a package of embedded files has no code"
		}
	}
	return ""
}

func refuseModule(r rule, path string) string {
	for _, h := range homes {
		if within(path, h.module) && r.path != h.home && r.group != forTests {
			return fmt.Sprintf("only %s imports it, %s", h.home, h.why)
		}
	}
	for _, module := range r.modules {
		if module == "*" || within(path, module) {
			return ""
		}
	}
	return fmt.Sprintf("%s may import the modules %v (%s)", r.path, r.modules, r.why)
}

// within reports whether path is prefix or lies below it.
func within(path, prefix string) bool {
	return path == prefix || strings.HasPrefix(path, strings.TrimSuffix(prefix, "/")+"/")
}

// isStd reports whether path is of the standard library: no dot before the first slash.
func isStd(path string) bool {
	first, _, _ := strings.Cut(path, "/")
	return !strings.Contains(first, ".")
}

// clockUse lists where a file reads the clock.
func clockUse(f file) (problems []string) {
	ast.Inspect(f.syntax, func(node ast.Node) bool {
		selector, ok := node.(*ast.SelectorExpr)
		if ok && isName(selector.X, "time") && slices.Contains(clockCalls, selector.Sel.Name) {
			problems = append(problems, fmt.Sprintf("%s: time.%s in core: time comes in as a parameter", f.at(node), selector.Sel.Name))
		}
		return true
	})
	return problems
}

func isName(expression ast.Expr, name string) bool {
	ident, ok := expression.(*ast.Ident)
	return ok && ident.Name == name
}

// TestTable looks for mistakes in the table itself.
func TestTable(t *testing.T) {
	t.Parallel()
	module, files := load(t)
	c := newChecker(module)
	present := map[string]bool{}
	for _, f := range files {
		present[f.pkg] = true
	}
	if len(c.rules) != len(rules) {
		t.Error("a package has two lines")
	}
	for _, r := range rules {
		if r.why == "" {
			t.Errorf("%s: no reason", r.path)
		}
		if !present[r.path] {
			t.Logf("%s: not there yet", r.path)
		}
		for _, own := range r.project {
			target, listed := c.rules[own]
			if own != "core" && own != "*" && !listed {
				t.Errorf("%s may import %s, which has no line", r.path, own)
			}
			if r.group == core && target.group != core {
				t.Errorf("%s is core and may import %s, which is not", r.path, own)
			}
		}
	}
}

// TestTableHasNoCircles keeps the named core packages in an order.
func TestTableHasNoCircles(t *testing.T) {
	t.Parallel()
	c := newChecker("")
	for _, r := range rules {
		if r.group == core && c.reaches(r.path, r.path, map[string]bool{}) {
			t.Errorf("%s may come to import itself", r.path)
		}
	}
}

func (c checker) reaches(from, to string, seen map[string]bool) bool {
	for _, next := range c.rules[from].project {
		if next == to {
			return true
		}
		if !seen[next] {
			seen[next] = true
			if c.reaches(next, to, seen) {
				return true
			}
		}
	}
	return false
}

// TestTabletDebts fails for a debt that is paid, so that it cannot come back.
func TestTabletDebts(t *testing.T) {
	t.Parallel()
	_, files := load(t)
	owed := map[string]bool{}
	for _, f := range files {
		for _, path := range f.imports() {
			if !f.test {
				owed[f.pkg+" "+path] = true
			}
		}
	}
	for debt, why := range tabletDebts {
		if !owed[debt] {
			t.Errorf("%q (%s) is paid: take its line out", debt, why)
		}
	}
}

// TestRefusals proves that the checker refuses what it is there for.
func TestRefusals(t *testing.T) {
	t.Parallel()
	c := newChecker("benchtag")
	for _, tt := range []struct {
		name, file, imports string
		refused             bool
	}{
		{"unlisted package", "internal/utils/a.go", "errors", true},
		{"core takes std", "internal/flow/a.go", "errors", false},
		{"core takes named core", "internal/grade/a.go", "benchtag/internal/measure", false},
		{"core takes unnamed core", "internal/money/a.go", "benchtag/internal/shop", true},
		{"core takes app", "internal/flow/a.go", "benchtag/internal/app", true},
		{"core takes context", "internal/flow/a.go", "context", true},
		{"core takes os", "internal/flow/a.go", "os", true},
		{"core takes randomness", "internal/auth/a.go", "crypto/rand", true},
		{"core takes a module", "internal/money/a.go", "github.com/cockroachdb/apd/v3", true},
		{"core's test takes an oracle", "internal/money/a_test.go", "github.com/cockroachdb/apd/v3", false},
		{"core's test takes echo", "internal/money/a_test.go", "github.com/labstack/echo/v4", true},
		{"core's test takes store", "internal/money/a_test.go", "benchtag/internal/store", true},
		{"core's test takes testkit", "internal/money/a_test.go", "benchtag/internal/testkit", false},
		{"tablet takes fmt", "internal/measure/a.go", "fmt", true},
		{"tablet's test takes fmt", "internal/measure/a_test.go", "fmt", false},
		{"app takes core", "internal/app/a.go", "benchtag/internal/flow", false},
		{"app takes store", "internal/app/a.go", "benchtag/internal/store", true},
		{"app takes gorm", "internal/app/a.go", "gorm.io/gorm", true},
		{"app takes uuid", "internal/app/a.go", "github.com/google/uuid", true},
		{"app's test takes store", "internal/app/a_test.go", "benchtag/internal/store", false},
		{"store takes gorm", "internal/store/a.go", "gorm.io/gorm/clause", false},
		{"store takes api", "internal/store/a.go", "benchtag/api", true},
		{"api takes echo", "api/a.go", "github.com/labstack/echo/v4/middleware", false},
		{"api takes store", "api/a.go", "benchtag/internal/store", true},
		{"web takes api", "internal/web/a.go", "benchtag/api", true},
		{"web takes echo", "internal/web/a.go", "github.com/labstack/echo/v4", true},
		{"wiring takes store", "cmd/benchtag/a.go", "benchtag/internal/store", false},
		{"wiring takes kong", "cmd/benchtag/a.go", "github.com/alecthomas/kong", false},
		{"wiring takes echo", "cmd/benchtag/a.go", "github.com/labstack/echo/v4", true},
		{"wiring takes testkit", "cmd/benchtag/a.go", "benchtag/internal/testkit", true},
		{"wiring takes testing", "cmd/benchtag/a.go", "testing", true},
		{"a lookalike of an allowed module", "internal/auth/token/a.go", "github.com/golang-jwt/jwt/v50", true},
		{"data takes os", "openapi/a.go", "os", true},
		{"testkit takes store", "internal/testkit/a.go", "benchtag/internal/store", true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			f, err := parseText(tt.file, []byte("package a\nimport _ \""+tt.imports+"\"\n"))
			if err != nil {
				t.Fatal(err)
			}
			if problems := c.file(f); (len(problems) > 0) != tt.refused {
				t.Errorf("problems %q, want some: %v", problems, tt.refused)
			}
		})
	}
}

func TestClockUse(t *testing.T) {
	t.Parallel()
	f, err := parseText("internal/flow/a.go", []byte(`package flow
import "time"
func due(t time.Time) bool { return time.Now().After(t) || time.Since(t) > 0 }
var clock = time.Now
func later(t time.Time) time.Time { return t.Add(time.Hour) }
`))
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"internal/flow/a.go:3: time.Now in core: time comes in as a parameter",
		"internal/flow/a.go:3: time.Since in core: time comes in as a parameter",
		"internal/flow/a.go:4: time.Now in core: time comes in as a parameter",
	}
	if diff := cmp.Diff(want, clockUse(f)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
