package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"
)

// program is the built program while it runs.
type program struct {
	cmd      *exec.Cmd
	out, err *lockedBuffer
	done     chan error
}

// startProgram runs the built program with an environment of its own.
func startProgram(t *testing.T, args ...string) *program {
	t.Helper()
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	p := &program{cmd: exec.Command(path, args...), out: &lockedBuffer{}, err: &lockedBuffer{}, done: make(chan error, 1)}
	p.cmd.Env = withoutSettings(os.Environ())
	p.cmd.Stdout, p.cmd.Stderr = p.out, p.err
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() { p.done <- p.cmd.Wait() }()
	t.Cleanup(func() { _ = p.cmd.Process.Kill() })
	return p
}

// withoutSettings leaves out what would change how the program runs.
func withoutSettings(environ []string) []string {
	var out []string
	for _, one := range environ {
		if !strings.HasPrefix(one, "BENCHTAG_") {
			out = append(out, one)
		}
	}
	return out
}

// eventually waits until something holds; the deadline is only for what never does.
func eventually(t *testing.T, what string, holds func() bool) {
	t.Helper()
	for deadline := time.Now().Add(time.Minute); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		if holds() {
			return
		}
	}
	t.Fatalf("waited in vain until %s", what)
}

// serving waits until the program says where it serves.
func (p *program) serving(t *testing.T) string {
	t.Helper()
	eventually(t, "it serves", func() bool {
		select {
		case err := <-p.done:
			t.Fatalf("it ended: %v\n%s\n%s", err, p.out, p.err)
		default:
		}
		return servingAt.MatchString(p.out.String() + p.err.String())
	})
	return servingAt.FindStringSubmatch(p.out.String() + p.err.String())[1]
}

// ended waits for the end and gives the exit code.
func (p *program) ended(t *testing.T) int {
	t.Helper()
	select {
	case <-p.done:
	case <-time.After(time.Minute):
		t.Fatalf("it does not end\n%s", p.err)
	}
	return p.cmd.ProcessState.ExitCode()
}

// runToEnd runs the program to its end.
func runToEnd(t *testing.T, args ...string) (code int, out, err string) {
	t.Helper()
	p := startProgram(t, args...)
	code = p.ended(t)
	return code, p.out.String(), p.err.String()
}

// ask sends a request and gives status and body; token "" goes without one.
func ask(t *testing.T, method, address, token string, body any) (int, []byte) {
	t.Helper()
	var r io.Reader
	if body != nil {
		text, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		r = bytes.NewReader(text)
	}
	req, err := http.NewRequest(method, address, r)
	if err != nil {
		t.Fatal(err)
	}
	if body != nil {
		req.Header.Set("Content-Type", "application/json")
	}
	if token != "" {
		req.Header.Set("Authorization", "Bearer "+token)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = res.Body.Close() }()
	text, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return res.StatusCode, text
}

// pair is what a sign-in gives.
type pair struct {
	Access  string `json:"access_token"`
	Refresh string `json:"refresh_token"`
}

// signInAs signs in and fails the test if that is refused.
func signInAs(t *testing.T, address, shopSlug, login, password string) pair {
	t.Helper()
	status, body := ask(t, http.MethodPost, address+"/v1/sign-in", "", map[string]string{"shop": shopSlug, "login": login, "password": password})
	var got pair
	if err := json.Unmarshal(body, &got); err != nil || status != http.StatusOK || got.Access == "" {
		t.Fatalf("sign-in of %s: %d %s", login, status, body)
	}
	return got
}

// String is for failures.
func (p *program) String() string { return fmt.Sprint(p.cmd.Args) }
