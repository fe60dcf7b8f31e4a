package web_test

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"
)

// A typed name is a simple electronic signature (Regulation (EU) 910/2014,
// Article 3(10)); nothing the program shows or promises may call it advanced
// or qualified, which are other things with other demands (Articles 26, 3(12)).
func TestClaimsNoMoreThanASimpleSignature(t *testing.T) {
	t.Parallel()
	more := regexp.MustCompile(`(?i)\b(advanced|qualified|digital(ly)?|certified)[ -](electronic )?(signature|signed)`)
	simple := regexp.MustCompile(`simple electronic signature`)
	looked, said := 0, 0
	for _, pattern := range []string{"files/*.html", "*.go", "staff/words/*.js", "../app/*.go", "../../api/*.go", "../../openapi/*.yaml", "../../README.md", "../../DEVELOPERS.md"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: no files, %v", pattern, err)
		}
		for _, name := range files {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			looked++
			if simple.Match(text) {
				said++
			}
			if found := more.Find(text); found != nil && filepath.Base(name) != "wording_test.go" {
				t.Errorf("%s claims %q", name, found)
			}
		}
	}
	if looked < 50 || said == 0 {
		t.Errorf("%d files looked at, %d say what it is", looked, said)
	}
}
