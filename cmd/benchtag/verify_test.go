package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"benchtag/internal/journal"
)

// goldenReceipt is a sound receipt of the journal's tests, and its key.
func goldenReceipt(t *testing.T) (text []byte, file, key string) {
	t.Helper()
	file = "../../internal/journal/testdata/receipt-1.txt"
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	r, err := journal.ParseReceipt(text)
	if err != nil {
		t.Fatal(err)
	}
	return text, file, r.Key
}

// TestVerifyReceipt runs the command on good and broken receipts.
func TestVerifyReceipt(t *testing.T) {
	t.Parallel()
	text, file, key := goldenReceipt(t)
	dir := t.TempDir()
	write := func(name, content string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	foreign, err := journal.NewSigningKey(journal.Origin("someone"), [32]byte{1})
	if err != nil {
		t.Fatal(err)
	}
	other := foreign.Verifier().String()
	keyFile := write("keys", "# the shop's keys\n\n"+other+"\n"+key+"\n")
	for _, c := range []struct {
		name     string
		args     []string
		code     int
		out, err string
	}{
		{"holds", []string{file, "--key", key}, 0, "HOLDS: the receipt is whole", ""},
		{"holds, one key of a file", []string{file, "--key-file", keyFile}, 0, "typed name: Jo Brennan", ""},
		{"holds, and what was shown", []string{file, "--key", key, "--document"}, 0, "title: Replace the big-end bearing – <new>", ""},
		{"no key", []string{file}, 2, "SOUND IN ITSELF, SIGNER NOT COMPARED", "no key was given"},
		{"another's key", []string{file, "--key", other}, 1, "none of those given", "does not hold"},
		{"changed amount", []string{write("amount", strings.Replace(string(text), "412.50", "912.50", 1)), "--key", key}, 1, "The record of the answer does not fit", "does not hold"},
		{"changed head", []string{write("head", strings.Replace(string(text), "Answer          agreed", "Answer          never!", 1)), "--key", key}, 1, "the words at the head", "does not hold"},
		{"line ends of another system", []string{write("crlf", strings.ReplaceAll(string(text), "\n", "\r\n")), "--key", key}, 1, "not a receipt, or its beginning was changed", "does not hold"},
		{"cut off", []string{write("cut", string(text[:len(text)-200])), "--key", key}, 1, "missing, cut off", "does not hold"},
		{"no receipt", []string{keyFile, "--key", key}, 1, "not a receipt", "does not hold"},
		{"too large", []string{write("huge", strings.Repeat(" ", journal.MaxReceipt+1))}, 2, "", "larger than 8 MiB"},
		{"not there", []string{filepath.Join(dir, "nothing")}, 2, "", "no such file"},
		{"no file", nil, 2, "", "name the file"},
		{"a key that is none", []string{file, "--key", key[:40]}, 2, "", "copy the whole line"},
		{"a file of no keys", []string{file, "--key-file", write("none", "# nothing\n")}, 2, "", "there is no key"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			var out, errs bytes.Buffer
			code := run(t.Context(), append([]string{"verify"}, c.args...), outputs{&out, &errs})
			if code != c.code || !strings.Contains(out.String(), c.out) || !strings.Contains(errs.String(), c.err) {
				t.Errorf("code %d\nout %s\nerr %s", code, out.String(), errs.String())
			}
		})
	}
}

// TestReceiptIsCheckedWithoutANetwork runs the built program where there is
// no network at all, in an empty folder.
func TestReceiptIsCheckedWithoutANetwork(t *testing.T) {
	t.Parallel()
	_, file, key := goldenReceipt(t)
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	full, err := filepath.Abs(file)
	if err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("unshare", "--net", "true").CombinedOutput(); err != nil {
		t.Skipf("SKIPPED, NOT CHECKED: no network namespace can be made here (root is needed): %v %s", err, out)
	}
	for _, c := range []struct {
		args []string
		code int
	}{{[]string{"verify", full, "--key", key}, 0}, {[]string{"verify", full}, 2}, {[]string{"verify", path, "--key", key}, 2}} {
		cmd := exec.Command("unshare", append([]string{"--net", path}, c.args...)...)
		cmd.Dir, cmd.Env = t.TempDir(), []string{}
		out, err := cmd.CombinedOutput()
		var ended *exec.ExitError
		if err != nil && !errors.As(err, &ended) || cmd.ProcessState.ExitCode() != c.code {
			t.Errorf("%v: %v\n%s", c.args, err, out)
		}
	}
}

// TestWordsAreMadeSafeForATerminal: whoever answers may type anything, and a
// value never passes for a line of the program.
func TestWordsAreMadeSafeForATerminal(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ in, want string }{
		{`{"typed_name":"Jo\u001b[2J","note":"a\nHOLDS: no"}`, "  typed name: Jo\uFFFD[2J\n  note: a\n    HOLDS: no\n"},
		{`{"gross":{"amount":"1.00"},"lines":["a",{"b":null}],"ok":true,"empty":"","n":12345678901234567890}`,
			"  gross:\n    amount: 1.00\n  lines:\n    1. a\n    2.\n      b: –\n  ok: yes\n  empty:\n  n: 12345678901234567890\n"},
		{`{"a":1}{"b":2}`, "  {\"a\":1}{\"b\":2}\n"},
		{"no JSON \u202e", "  no JSON \uFFFD\n"},
		{strings.Repeat("[", 40), "  " + strings.Repeat("[", 40) + "\n"},
	} {
		if got := jsonWords([]byte(c.in)); got != c.want {
			t.Errorf("%s:\n%q, want\n%q", c.in, got, c.want)
		}
	}
}
