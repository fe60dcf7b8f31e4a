package vault_test

import (
	"bytes"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/auth/vault"
)

func key(n byte) []byte { return bytes.Repeat([]byte{n}, 32) }

// TestSealing: what was sealed comes back in its place alone, and any changed
// byte is found.
func TestSealing(t *testing.T) {
	t.Parallel()
	v, err := vault.New(key(1))
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		plain := rapid.SliceOf(rapid.Byte()).Draw(t, "plain")
		sealed := v.Seal("outbox a b", plain)
		if len(plain) > 4 && bytes.Contains(sealed, plain) {
			t.Fatal("it can be read")
		}
		got, err := v.Open("outbox a b", sealed)
		if err != nil || !bytes.Equal(got, plain) {
			t.Fatalf("got %x, %v", got, err)
		}
		if _, err := v.Open("outbox a c", sealed); err == nil {
			t.Error("it opened for another place")
		}
		i := rapid.IntRange(0, len(sealed)-1).Draw(t, "byte")
		sealed[i] ^= 1 << rapid.IntRange(0, 7).Draw(t, "bit")
		if _, err := v.Open("outbox a b", sealed); err == nil {
			t.Error("a changed byte was not found")
		}
		if _, err := v.Open("outbox a b", sealed[:i]); err == nil {
			t.Error("a cut was not found")
		}
	})
}

// TestNewKeyInFront: with a new key in front, what the old one sealed opens.
func TestNewKeyInFront(t *testing.T) {
	t.Parallel()
	old, err := vault.New(key(1))
	if err != nil {
		t.Fatal(err)
	}
	both, err := vault.New(key(2), key(1))
	if err != nil {
		t.Fatal(err)
	}
	if got, err := both.Open("x", old.Seal("x", []byte("word"))); err != nil || string(got) != "word" {
		t.Errorf("got %q, %v", got, err)
	}
	if _, err := old.Open("x", both.Seal("x", []byte("word"))); err == nil {
		t.Error("the old key opens what the new one sealed")
	}
	for _, keys := range [][][]byte{nil, {key(1)[:31]}} {
		if _, err := vault.New(keys...); err == nil {
			t.Errorf("%d keys, the first of another length, were taken", len(keys))
		}
	}
}

// TestLoad: of many that start at once one makes the key and all have the
// same; a file that others can read, or that is damaged, is refused.
func TestLoad(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "keys")
	vaults := make([]*vault.Vault, 8)
	var all sync.WaitGroup
	for i := range vaults {
		all.Go(func() {
			v, err := vault.Load(dir)
			if err != nil {
				t.Error(err)
			}
			vaults[i] = v
		})
	}
	all.Wait()
	if t.Failed() {
		return
	}
	sealed := vaults[0].Seal("x", []byte("word"))
	for _, v := range vaults {
		if _, err := v.Open("x", sealed); err != nil {
			t.Error(err)
		}
	}
	path := filepath.Join(dir, vault.FileName)
	if err := os.Chmod(path, 0o640); err != nil {
		t.Fatal(err)
	}
	if _, err := vault.Load(dir); err == nil {
		t.Error("a file that the group can read was taken")
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"", "{}", `{"keys":[]}`, `{"keys":["AAAA"]}`} {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := vault.Load(dir); err == nil {
			t.Errorf("%q was taken for a key file", text)
		}
	}
}
