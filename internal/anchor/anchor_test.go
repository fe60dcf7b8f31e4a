package anchor_test

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"

	"benchtag/internal/anchor"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

func noon() time.Time { return time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC) }

const (
	shopID  = shop.ShopID("0197a000-0000-7000-8000-000000000001")
	keyFile = "journal.keys.json"
)

func open(t testing.TB, folder string) *anchor.Files {
	t.Helper()
	f, err := anchor.Open(folder, noon())
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func note(t testing.TB, f *anchor.Files, breaks, size int64) string {
	t.Helper()
	c := journal.Checkpoint{Origin: journal.OriginAfter(string(shopID), breaks), Size: size}
	keys, err := f.Signing(c.Origin)
	if err != nil {
		t.Fatal(err)
	}
	text, err := journal.SignCheckpoint(c, keys...)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// TestKeyIsMadeOnceAndKept: of many starts at once one makes the key, all
// have the same, and nobody else can read it.
func TestKeyIsMadeOnceAndKept(t *testing.T) {
	t.Parallel()
	folder := filepath.Join(t.TempDir(), "keys")
	seen := make([]string, 8)
	var all sync.WaitGroup
	for i := range seen {
		all.Go(func() {
			f, err := anchor.Open(folder, noon())
			if err != nil {
				t.Error(err)
				return
			}
			keys, err := f.Signing("x")
			if err != nil || len(keys) != 1 {
				t.Errorf("%d keys sign, %v", len(keys), err)
				return
			}
			seen[i] = keys[0].Verifier().String()
		})
	}
	all.Wait()
	for _, key := range seen {
		if key != seen[0] || key == "" {
			t.Errorf("keys %q and %q", key, seen[0])
		}
	}
	info, err := os.Stat(filepath.Join(folder, keyFile))
	if err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, %v", info.Mode(), err)
	}
	left, err := filepath.Glob(filepath.Join(folder, ".new-*"))
	if err != nil || len(left) != 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

// TestRotation: while one key follows another both sign, afterwards one does;
// the old public key stays known with its time and its secret is gone.
func TestRotation(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	f := open(t, folder)
	other := open(t, folder) // another process
	old, err := f.Signing("x")
	if err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(filepath.Join(folder, keyFile))
	if err != nil {
		t.Fatal(err)
	}
	later := noon().Add(time.Hour)
	for range 2 { // begun again, it goes on
		if err := f.BeginRotation(later); err != nil {
			t.Fatal(err)
		}
		both, err := other.Signing("x")
		if err != nil || len(both) != 2 || both[1].Verifier() != old[0].Verifier() {
			t.Fatalf("%v sign, %v", both, err)
		}
	}
	if err := f.EndRotation(); err != nil {
		t.Fatal(err)
	}
	one, err := other.Signing("x")
	if err != nil || len(one) != 1 || one[0].Verifier() == old[0].Verifier() {
		t.Fatalf("%v sign, %v", one, err)
	}
	known, err := other.Known("x")
	if err != nil || len(known) != 2 || known[0].Key != one[0].Verifier() || known[1].Key != old[0].Verifier() {
		t.Fatalf("known %+v, %v", known, err)
	}
	if !known[0].Until.IsZero() || !known[0].From.Equal(later) || !known[1].Until.Equal(later) || !known[1].From.Equal(noon()) {
		t.Errorf("times %+v", known)
	}
	var was struct{ Keys []struct{ Seed string } }
	after, err := os.ReadFile(filepath.Join(folder, keyFile))
	if err != nil || json.Unmarshal(before, &was) != nil || len(was.Keys) != 1 || was.Keys[0].Seed == "" {
		t.Fatalf("%v %+v", err, was)
	}
	if strings.Contains(string(after), was.Keys[0].Seed) {
		t.Error("the secret of the key that left is still there")
	}
}

// TestOpenExistingMakesNothing: who only reads finds the key that is there,
// and where there is none is told so and leaves the folder as it was.
func TestOpenExistingMakesNothing(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	for _, place := range []string{folder, filepath.Join(folder, "none")} {
		_, err := anchor.OpenExisting(place)
		if !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), "--data") {
			t.Errorf("%s: %v", place, err)
		}
	}
	left, err := os.ReadDir(folder)
	if err != nil || len(left) != 0 {
		t.Fatalf("made %v, %v", left, err)
	}
	made, err := open(t, folder).Signing("x")
	if err != nil {
		t.Fatal(err)
	}
	f, err := anchor.OpenExisting(folder)
	if err != nil {
		t.Fatal(err)
	}
	found, err := f.Signing("x")
	if err != nil || len(found) != 1 || found[0].Verifier() != made[0].Verifier() {
		t.Errorf("found %v, %v", found, err)
	}
	if err := os.Chmod(filepath.Join(folder, keyFile), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := anchor.OpenExisting(folder); err == nil && runtime.GOOS != "windows" {
		t.Error("a key that everybody can read was read")
	}
}

func TestOpenRefuses(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	open(t, folder)
	good, err := os.ReadFile(filepath.Join(folder, keyFile))
	if err != nil {
		t.Fatal(err)
	}
	var file map[string]any
	if err := json.Unmarshal(good, &file); err != nil {
		t.Fatal(err)
	}
	first := func(f map[string]any) map[string]any { return f["keys"].([]any)[0].(map[string]any) }
	second := open(t, t.TempDir())
	stranger, err := second.Known("x")
	if err != nil {
		t.Fatal(err)
	}
	// older is a key that was there before, with its secret or without.
	older := func(n byte, secret string) map[string]any {
		from := bytes.Repeat([]byte{n}, ed25519.SeedSize)
		k := map[string]any{"public": []byte(ed25519.NewKeyFromSeed(from).Public().(ed25519.PublicKey)), "from": noon(), "until": noon()}
		if secret != "" {
			k["seed"] = from
		}
		return k
	}
	tests := map[string]struct {
		spoil func(map[string]any)
		mode  os.FileMode
		ok    bool
	}{
		"good":                {func(map[string]any) {}, 0o600, true},
		"read only":           {func(map[string]any) {}, 0o400, true},
		"world-readable":      {func(map[string]any) {}, 0o604, false},
		"group-writable":      {func(map[string]any) {}, 0o620, false},
		"another purpose":     {func(f map[string]any) { f["purpose"] = "access" }, 0o600, false},
		"no keys":             {func(f map[string]any) { f["keys"] = []any{} }, 0o600, false},
		"no secret":           {func(f map[string]any) { delete(first(f), "seed") }, 0o600, false},
		"short secret":        {func(f map[string]any) { first(f)["seed"] = "AAAA" }, 0o600, false},
		"another's public":    {func(f map[string]any) { first(f)["public"] = stranger[0].Key.Public[:] }, 0o600, false},
		"first has left":      {func(f map[string]any) { first(f)["until"] = noon() }, 0o600, false},
		"one key twice":       {func(f map[string]any) { f["keys"] = append(f["keys"].([]any), f["keys"].([]any)[0]) }, 0o600, false},
		"an old one signs on": {func(f map[string]any) { f["keys"] = []any{first(f), older(1, ""), older(2, "seed")} }, 0o600, false},
		"an old one has left": {func(f map[string]any) { f["keys"] = []any{first(f), older(1, "seed"), older(2, "")} }, 0o600, true},
		"an old one stays":    {func(f map[string]any) { k := older(1, "seed"); delete(k, "until"); f["keys"] = []any{first(f), k} }, 0o600, false},
		"without its moment":  {func(f map[string]any) { delete(first(f), "from") }, 0o600, false},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if runtime.GOOS == "windows" && tt.mode&0o077 != 0 {
				t.Skip("no such bits on Windows")
			}
			var spoilt map[string]any
			if err := json.Unmarshal(good, &spoilt); err != nil {
				t.Fatal(err)
			}
			tt.spoil(spoilt)
			text, err := json.Marshal(spoilt)
			if err != nil {
				t.Fatal(err)
			}
			dir := t.TempDir()
			path := filepath.Join(dir, keyFile)
			if err := os.WriteFile(path, text, 0o600); err != nil {
				t.Fatal(err)
			}
			if err := os.Chmod(path, tt.mode); err != nil {
				t.Fatal(err)
			}
			_, err = anchor.Open(dir, noon())
			if (err == nil) != tt.ok {
				t.Errorf("got %v", err)
			}
			if secret := first(file)["seed"].(string); err != nil && strings.Contains(err.Error(), secret) {
				t.Errorf("the error shows the secret: %v", err)
			}
		})
	}
	if err := os.WriteFile(filepath.Join(folder, keyFile), []byte("{"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := anchor.Open(folder, noon()); err == nil {
		t.Error("half a file was read")
	}
}

// TestKeepNeverGoesBack: whatever order checkpoints come in, the one kept is
// the latest: most breaks, then most entries.
func TestKeepNeverGoesBack(t *testing.T) {
	t.Parallel()
	f := open(t, t.TempDir())
	rapid.Check(t, func(rt *rapid.T) {
		scope := shop.ShopID(fmt.Sprintf("%s-0000-7000-8000-000000000001", fmt.Sprintf("%x", sha256.Sum256([]byte(rapid.String().Draw(rt, "shop"))))[:8]))
		kept, err := f.Last(scope)
		if err != nil {
			rt.Fatal(err)
		}
		most := state(rt, kept)
		for range rapid.IntRange(1, 6).Draw(rt, "times") {
			breaks, size := rapid.Int64Range(0, 2).Draw(rt, "breaks"), rapid.Int64Range(0, 9).Draw(rt, "size")
			if err := f.Keep(scope, note(t, f, breaks, size)); err != nil {
				rt.Fatal(err)
			}
			if at := [2]int64{breaks, size}; at[0] > most[0] || at[0] == most[0] && at[1] > most[1] {
				most = at
			}
			if kept, err = f.Last(scope); err != nil || state(rt, kept) != most {
				rt.Fatalf("kept %v, want %v (%v)", state(rt, kept), most, err)
			}
		}
	})
}

func state(t *rapid.T, kept string) [2]int64 {
	if kept == "" {
		return [2]int64{-1, -1}
	}
	n, err := journal.ParseNote(kept)
	if err != nil {
		t.Fatal(err)
	}
	c, err := journal.ParseCheckpoint(n.Text)
	if err != nil {
		t.Fatal(err)
	}
	_, breaks, err := journal.ParseOrigin(c.Origin)
	if err != nil {
		t.Fatal(err)
	}
	return [2]int64{breaks, c.Size}
}

// TestKeepTakesNoOtherOfItsSize: a checkpoint that counts as many entries and
// says something else of them does not take the place of the one kept.
func TestKeepTakesNoOtherOfItsSize(t *testing.T) {
	t.Parallel()
	f := open(t, t.TempDir())
	good := note(t, f, 0, 3)
	keys, err := f.Signing(journal.OriginAfter(string(shopID), 0))
	if err != nil {
		t.Fatal(err)
	}
	other, err := journal.SignCheckpoint(journal.Checkpoint{Origin: journal.OriginAfter(string(shopID), 0), Size: 3, Root: journal.Hash{9}}, keys...)
	if err != nil {
		t.Fatal(err)
	}
	for _, one := range []string{good, other} {
		if err := f.Keep(shopID, one); err != nil {
			t.Fatal(err)
		}
	}
	if kept, err := f.Last(shopID); err != nil || kept != good {
		t.Errorf("kept %q, %v", kept, err)
	}
}

// TestKeepTakesNothingElse: what is no checkpoint replaces none, and no name
// of a shop leads out of the folder.
func TestKeepTakesNothingElse(t *testing.T) {
	t.Parallel()
	f := open(t, t.TempDir())
	good := note(t, f, 0, 3)
	if err := f.Keep(shopID, good); err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"", "hello", strings.Replace(good, "benchtag/shop/", "other/", 1)} {
		if err := f.Keep(shopID, bad); err != nil {
			t.Error(err)
		}
	}
	if kept, err := f.Last(shopID); err != nil || kept != good {
		t.Errorf("kept %q, %v", kept, err)
	}
	for _, name := range []shop.ShopID{"", "../x", "0197a000-0000-7000-8000-00000000000/"} {
		if f.Keep(name, good) == nil {
			t.Errorf("%q passes as a shop", name)
		}
		if _, err := f.Last(name); err == nil {
			t.Errorf("%q is read as a shop", name)
		}
	}
	if kept, err := f.Last("0197a000-0000-7000-8000-000000000009"); err != nil || kept != "" {
		t.Errorf("of a shop without one: %q, %v", kept, err)
	}
}
