package keyfile_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"benchtag/internal/auth/keyfile"
)

func TestWrittenIsRead(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	path := filepath.Join(folder, "x.key")
	if err := keyfile.Write(path, []byte("first"), os.Link); err != nil {
		t.Fatal(err)
	}
	if err := keyfile.Write(path, []byte("second"), os.Link); !errors.Is(err, fs.ErrExist) {
		t.Errorf("a file that is there gives %v", err)
	}
	if got, err := keyfile.Read(path, 3, ""); string(got) != "fir" || err != nil {
		t.Errorf("read %q, %v; want the first three bytes of the first", got, err)
	}
	if err := keyfile.Write(path, []byte("third"), os.Rename); err != nil {
		t.Fatal(err)
	}
	if got, err := keyfile.Read(path, 100, ""); string(got) != "third" || err != nil {
		t.Errorf("read %q, %v", got, err)
	}
	left, err := os.ReadDir(folder)
	if err != nil || len(left) != 1 {
		t.Errorf("the folder holds %v, %v", left, err)
	}
}

func TestFileOfOthersIsRefused(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("has no such bits")
	}
	path := filepath.Join(t.TempDir(), "x.key")
	if _, err := keyfile.Read(path, 1, ""); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no file gives %v", err)
	}
	for _, mode := range []fs.FileMode{0o640, 0o604, 0o620, 0o601} {
		if err := errors.Join(os.WriteFile(path, []byte("x"), 0o600), os.Chmod(path, mode)); err != nil {
			t.Fatal(err)
		}
		if _, err := keyfile.Read(path, 1, ", and sweep"); err == nil || !strings.Contains(err.Error(), "chmod 600 it, and sweep") {
			t.Errorf("mode %v gives %v", mode, err)
		}
	}
}
