package testkit

import (
	"errors"
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write golden files instead of comparing with them")

// Golden compares got with the file at path, byte for byte, and reports the
// difference as an error of t. Run with -update to write the file, then read
// what changed: a golden proves sameness, not that it is right.
func Golden(t testing.TB, path string, got []byte) {
	t.Helper()
	if *update {
		writeGolden(t, path, got)
		return
	}
	want, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		t.Errorf("%s is missing; run this test with -update to write it", path)
		return
	}
	if err != nil {
		t.Errorf("reading the golden file: %v", err)
		return
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s differs (-want +got); if the change is meant, run this test with -update:\n%s", path, diff)
	}
}

func writeGolden(t testing.TB, path string, got []byte) {
	t.Helper()
	err := os.MkdirAll(filepath.Dir(path), 0o755)
	if err != nil {
		t.Fatalf("making the golden file's folder: %v", err)
	}
	err = os.WriteFile(path, got, 0o644)
	if err != nil {
		t.Fatalf("writing the golden file: %v", err)
	}
	t.Logf("wrote %s", path)
}
