// Package keyfile keeps secrets in files that nobody but their owner can read.
// What is in a file, and what becomes of one that is not there, is for others.
package keyfile

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
)

// Read reads a file of at most so many bytes. One that others than its owner
// can read or change is refused (not on Windows, which has no such bits);
// advice is what to do then, beside chmod 600, or "".
func Read(path string, most int64, advice string) ([]byte, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("key file: %w", err)
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, fmt.Errorf("key file: %w", err)
	}
	if runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
		return nil, fmt.Errorf("key file %s: others can read or change it (mode %04o): chmod 600 it%s", path, info.Mode().Perm(), advice)
	}
	data, err := io.ReadAll(io.LimitReader(file, most))
	if err != nil {
		return nil, fmt.Errorf("key file: %w", err)
	}
	return data, nil
}

// Write writes a file of mode 0600 beside path, durably, and moves it into
// place: os.Rename replaces what is there, os.Link leaves a file that another
// process was first to make (fs.ErrExist).
func Write(path string, data []byte, place func(from, to string) error) error {
	folder := filepath.Dir(path)
	file, err := os.CreateTemp(folder, ".new-*") // mode 0600
	if err != nil {
		return fmt.Errorf("key file: %w", err)
	}
	defer os.Remove(file.Name()) // gone already after a rename
	_, err = file.Write(data)
	err = errors.Join(err, file.Sync(), file.Close())
	if err != nil {
		return fmt.Errorf("key file: %w", err)
	}
	if err := place(file.Name(), path); err != nil {
		return fmt.Errorf("key file: %w", err)
	}
	return syncFolder(folder)
}

// syncFolder makes a new name in the folder durable, where folders can be synced.
func syncFolder(name string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	folder, err := os.Open(name)
	if err != nil {
		return fmt.Errorf("key folder: %w", err)
	}
	if err := errors.Join(folder.Sync(), folder.Close()); err != nil {
		return fmt.Errorf("key folder: %w", err)
	}
	return nil
}
