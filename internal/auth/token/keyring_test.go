package token_test

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"

	"benchtag/internal/auth/token"
)

func TestCheckKey(t *testing.T) {
	t.Parallel()
	counting := make([]byte, 32)
	stepping := make([]byte, 64)
	for i := range counting {
		counting[i] = byte(200 + i)
	}
	for i := range stepping {
		stepping[i] = byte(7 * i)
	}
	random := []byte("\x91\x03\xfe\x1c\x77\xb2\x40\x5d\xe8\x2a\xc9\x16\x83\xf4\x6b\x0e\xd7\x39\xa5\x52\x1f\xc0\x8e\x64\xbb\x2d\xf1\x48\x99\x07\x3c\xda")
	weak := map[string][]byte{
		"none": nil, "secret": []byte("secret"), "31 bytes": random[:31], "32 times a": bytes.Repeat([]byte("a"), 32),
		"zeros": make([]byte, 32), "counting": counting, "stepping": stepping, "16 bytes twice": bytes.Repeat(random[:16], 2),
		"a sentence": []byte("change me before you go to production!"), "hexadecimal text": []byte(strings.Repeat("0123456789abcdef", 4)),
		"two bytes in turn": bytes.Repeat([]byte{0, 255}, 32),
	}
	for name, k := range weak {
		if token.CheckKey(k) == nil {
			t.Errorf("%s passes", name)
		}
	}
	if err := token.CheckKey(random); err != nil {
		t.Error(err)
	}
}

// Widening a good key never spoils it.
func TestCheckKeyLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SliceOfN(rapid.Byte(), 0, 80).Draw(t, "key")
		more := append(bytes.Clone(k), rapid.SliceOfN(rapid.Byte(), 0, 20).Draw(t, "more")...)
		if token.CheckKey(k) == nil && (len(k) < 32 || token.CheckKey(more) != nil) {
			t.Fatalf("%x passes, %x does not", k, more)
		}
	})
}

func TestKeyringKeeps(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "keys")
	rings := make([]*token.Keyring, 8)
	var group sync.WaitGroup
	for i := range rings {
		group.Go(func() {
			ring, err := token.LoadOrCreateKeyring(dir, noon())
			if err != nil {
				t.Error(err)
			}
			rings[i] = ring
		})
	}
	group.Wait()
	if t.Failed() {
		return
	}
	text, _, err := newSigner(t, rings[0]).Issue(staff(), noon())
	if err != nil {
		t.Fatal(err)
	}
	for i, ring := range rings {
		if _, err := newSigner(t, ring).Verify(string(text), noon()); err != nil {
			t.Errorf("process %d has other keys: %v", i, err)
		}
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != len(token.Purposes()) {
		t.Errorf("%d files in the folder (%v), want one a purpose", len(entries), err)
	}
	for _, entry := range entries {
		info, err := entry.Info()
		if err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
			t.Errorf("%s has mode %v (%v)", entry.Name(), info.Mode(), err)
		}
	}
}

func TestKeyFileRefused(t *testing.T) {
	t.Parallel()
	strong := base64.StdEncoding.EncodeToString([]byte("\x91\x03\xfe\x1c\x77\xb2\x40\x5d\xe8\x2a\xc9\x16\x83\xf4\x6b\x0e\xd7\x39\xa5\x52\x1f\xc0\x8e\x64\xbb\x2d\xf1\x48\x99\x07\x3c\xda"))
	file := func(purpose, keys string) string { return `{"purpose":"` + purpose + `","keys":[` + keys + `]}` }
	entry := func(id, state, secret, more string) string {
		return `{"id":"` + id + `","state":"` + state + `","secret":"` + secret + `","created":"2026-03-02T12:00:00Z"` + more + `}`
	}
	both := entry("a", "current", strong, "") + "," + entry("b", "next", strong, "")
	text := func(s string) string { return base64.StdEncoding.EncodeToString([]byte(s)) }
	tests := map[string]struct {
		content string
		mode    os.FileMode
		ok      bool
	}{
		"good":                {file("access", both), 0o600, true},
		"good, read only":     {file("access", both), 0o400, true},
		"world-readable":      {file("access", both), 0o604, false},
		"group-readable":      {file("access", both), 0o640, false},
		"world-writable":      {file("access", both), 0o602, false},
		"empty":               {"", 0o600, false},
		"not JSON":            {"secret", 0o600, false},
		"another purpose":     {file("refresh", both), 0o600, false},
		"no keys":             {file("access", ""), 0o600, false},
		"no next key":         {file("access", entry("a", "current", strong, "")), 0o600, false},
		"two current keys":    {file("access", both+","+entry("c", "current", strong, "")), 0o600, false},
		"one id twice":        {file("access", both+","+entry("a", "old", strong, `,"until":"2026-03-02T12:11:00Z"`)), 0o600, false},
		"an odd id":           {file("access", entry("a b", "current", strong, "")+","+entry("b", "next", strong, "")), 0o600, false},
		"an old one for ever": {file("access", both+","+entry("c", "old", strong, "")), 0o600, false},
		"unknown state":       {file("access", both+","+entry("c", "spare", strong, "")), 0o600, false},
		"secret":              {file("access", entry("a", "current", text("secret"), "")+","+entry("b", "next", strong, "")), 0o600, false},
		"31 bytes":            {file("access", entry("a", "current", strong, "")+","+entry("b", "next", text(strings.Repeat("\x01\xf2", 15)+"x"), "")), 0o600, false},
		"32 times a":          {file("access", entry("a", "current", text(strings.Repeat("a", 32)), "")+","+entry("b", "next", strong, "")), 0o600, false},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if runtime.GOOS == "windows" && tt.mode&0o077 != 0 {
				t.Skip("no such bits on Windows")
			}
			dir := t.TempDir()
			path := filepath.Join(dir, "access.keys.json")
			if err := os.WriteFile(path, []byte(tt.content), 0o600); err != nil {
				t.Fatal(err)
			}
			if err := os.Chmod(path, tt.mode); err != nil {
				t.Fatal(err)
			}
			_, err := token.LoadOrCreateKeyring(dir, noon())
			if (err == nil) != tt.ok {
				t.Errorf("got %v", err)
			}
			if err != nil && strings.Contains(err.Error(), strong[:12]) {
				t.Errorf("the error shows a key: %v", err)
			}
		})
	}
}

// Tokens made before a rotation live out their time, processes that have not
// restarted take the new ones, and in the end the old key is off.
func TestRotateKeys(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	first, err := token.LoadOrCreateKeyring(dir, noon())
	if err != nil {
		t.Fatal(err)
	}
	issue := func(ring *token.Keyring, now time.Time) string {
		t.Helper()
		text, _, err := newSigner(t, ring).Issue(staff(), now)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	takes := func(ring *token.Keyring, text string, now time.Time) bool {
		t.Helper()
		_, err := newSigner(t, ring).Verify(text, now)
		return err == nil
	}
	second, err := token.Rotate(dir, noon())
	if err != nil {
		t.Fatal(err)
	}
	old, renewed := issue(first, noon()), issue(second, noon())
	if !takes(second, old, noon().Add(10*time.Minute)) {
		t.Error("a token from before the rotation is dead")
	}
	if !takes(first, renewed, noon()) {
		t.Error("a process that has not restarted refuses the new tokens")
	}
	late := noon().Add(12 * time.Minute)
	if takes(second, issue(first, late), late) {
		t.Error("the old key is still on")
	}
	third, err := token.Rotate(dir, late)
	if err != nil {
		t.Fatal(err)
	}
	reread, err := token.LoadOrCreateKeyring(dir, late)
	if err != nil || !takes(reread, issue(third, late), late) || !takes(reread, issue(second, late), late) {
		t.Errorf("the file does not hold what Rotate gave (%v)", err)
	}
	data, err := os.ReadFile(filepath.Join(dir, "access.keys.json"))
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Keys []struct{ State token.State } }
	if err := json.Unmarshal(data, &file); err != nil || len(file.Keys) != 3 {
		t.Errorf("%d keys in the file (%v), want old, current and next", len(file.Keys), err)
	}
	if _, err := token.Rotate(t.TempDir(), noon()); err == nil {
		t.Error("keys that are not there were rotated")
	}
}
