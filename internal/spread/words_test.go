package spread_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strconv"
	"testing"

	"benchtag/internal/spread"
)

// TestEveryWordIsListed reads the constants of each type of words from the
// source and holds them against its list.
func TestEveryWordIsListed(t *testing.T) {
	t.Parallel()
	lists := map[string][]string{
		"Size":   texts(spread.Sizes()),
		"Found":  texts(spread.Founds()),
		"Bypass": texts(spread.Bypasses()),
		"YesNo":  texts(spread.YesNos()),
		"State":  texts(spread.States()),
	}
	file, err := parser.ParseFile(token.NewFileSet(), "spread.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	declared := constants(t, file)
	for name, want := range declared {
		got := lists[name]
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) || len(slices.Compact(slices.Clone(got))) != len(got) {
			t.Errorf("%s lists %v; there are %v", name, got, want)
		}
	}
	if len(declared) != len(lists) {
		t.Errorf("%d types of words are declared, %d are checked", len(declared), len(lists))
	}
}

// constants gives the text constants of a file by their type.
func constants(t *testing.T, file *ast.File) map[string][]string {
	t.Helper()
	out := map[string][]string{}
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok {
			return true
		}
		typ, ok := spec.Type.(*ast.Ident)
		if !ok || len(spec.Values) != 1 {
			return true
		}
		if lit, ok := spec.Values[0].(*ast.BasicLit); ok && lit.Kind == token.STRING {
			text, err := strconv.Unquote(lit.Value)
			if err != nil {
				t.Fatal(err)
			}
			out[typ.Name] = append(out[typ.Name], text)
		}
		return true
	})
	return out
}

func texts[T ~string](list []T) []string {
	out := make([]string, len(list))
	for i, word := range list {
		out[i] = fmt.Sprint(word)
	}
	return out
}
