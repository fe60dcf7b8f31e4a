package main

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/mail"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/emersion/go-smtp"
)

// officeVariable makes the test program a mail server and nothing else.
const officeVariable = "BENCHTAG_TEST_POSTOFFICE"

// TestPostOfficeProcess is no test: it is the mail server that other tests
// start as a process of its own.
func TestPostOfficeProcess(t *testing.T) {
	if os.Getenv(officeVariable) == "" {
		t.Skip("started by other tests")
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	fmt.Printf("port %d\n", l.Addr().(*net.TCPAddr).Port)
	go func() {
		_, _ = io.Copy(io.Discard, os.Stdin) // ends with whoever started it
		os.Exit(0)
	}()
	s := smtp.NewServer(counterOf{})
	s.Domain = "office.example"
	_ = s.Serve(l)
}

// counterOf takes every letter, after a moment, and says which.
type counterOf struct{}

func (counterOf) NewSession(*smtp.Conn) (smtp.Session, error) { return clerk{}, nil }

type clerk struct{}

func (clerk) Reset()                               {}
func (clerk) Logout() error                        { return nil }
func (clerk) Mail(string, *smtp.MailOptions) error { return nil }
func (clerk) Rcpt(string, *smtp.RcptOptions) error { return nil }

// Data takes a letter whether its sender is still there to hear so or not.
func (clerk) Data(r io.Reader) error {
	time.Sleep(time.Duration(rand.IntN(10)) * time.Millisecond)
	m, err := mail.ReadMessage(r)
	if err != nil {
		return err
	}
	if _, err := io.Copy(io.Discard, m.Body); err != nil {
		return err
	}
	fmt.Printf("took %s\n", m.Header.Get("Message-ID"))
	time.Sleep(time.Duration(rand.IntN(10)) * time.Millisecond)
	return nil
}

// postOffice is a mail server in a process of its own, and what it took.
type postOffice struct {
	port string
	mu   sync.Mutex
	took map[string]int // by Message-ID
}

func openPostOffice(t *testing.T) *postOffice {
	t.Helper()
	cmd := exec.Command(os.Args[0], "-test.run=^TestPostOfficeProcess$")
	cmd.Env = append(os.Environ(), officeVariable+"=1")
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = in.Close(); _ = cmd.Wait() })
	o, lines := &postOffice{took: map[string]int{}}, bufio.NewScanner(out)
	for o.port == "" && lines.Scan() {
		o.port, _ = strings.CutPrefix(lines.Text(), "port ")
	}
	if o.port == "" {
		t.Fatal("the mail server did not start")
	}
	go func() {
		for lines.Scan() {
			if id, ok := strings.CutPrefix(lines.Text(), "took "); ok {
				o.mu.Lock()
				o.took[id]++
				o.mu.Unlock()
			}
		}
	}()
	return o
}

// count tells how often a message was taken.
func (o *postOffice) count(message string) int {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.took["<"+message+"@bench.example>"]
}
