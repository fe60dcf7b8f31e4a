package main

import (
	"context"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-smtp"

	"benchtag/internal/app"
	"benchtag/internal/journal"
	"benchtag/internal/notify"
)

// mailbox is a mail server that keeps letters as they come.
type mailbox struct{ letters chan []byte }

func (m mailbox) NewSession(*smtp.Conn) (smtp.Session, error) { return m, nil }
func (mailbox) Reset()                                        {}
func (mailbox) Logout() error                                 { return nil }
func (mailbox) Mail(string, *smtp.MailOptions) error          { return nil }
func (mailbox) Rcpt(string, *smtp.RcptOptions) error          { return nil }

func (m mailbox) Data(r io.Reader) error {
	text, err := io.ReadAll(r)
	m.letters <- text
	return err
}

// mailed sends a letter and gives it as it lies in the mailbox.
func mailed(t *testing.T, letter app.Mail) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	box := mailbox{make(chan []byte, 1)}
	s := smtp.NewServer(box)
	t.Cleanup(func() { _ = s.Close() })
	go func() { _ = s.Serve(l) }()
	m, err := notify.NewMailer(notify.MailOptions{Host: "127.0.0.1", Port: l.Addr().(*net.TCPAddr).Port, Mode: notify.TLSNone, From: "desk@shop.example"})
	if err != nil {
		t.Fatal(err)
	}
	if d := m.Send(t.Context(), letter, func(context.Context) error { return nil }); d.Result != app.Accepted {
		t.Fatalf("%+v", d)
	}
	return string(<-box.letters)
}

// TestAnchorFromAMailbox: the state of the journal that goes out by mail is
// read back from the letter, saved as it came or copied out of it.
func TestAnchorFromAMailbox(t *testing.T) {
	t.Parallel()
	note := foreignNote(t)
	letter := app.Mail{ID: "0190c7a2-0000-7000-8000-0000000000aa", FromName: "Lindqvist Two-Wheel Works", To: "owner@shop.example", Date: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC),
		Subject: "The state of your journal", Text: "Keep this letter – it is worth it.\n\n" + note + "\nLeave it in your mailbox.\n", HTML: "<p>Keep this letter.</p>"}
	whole := mailed(t, letter)
	letter.Text = "Nothing in the letter itself.\n"
	letter.Attached = []app.Attachment{{Name: "checkpoint.txt", Type: "text/plain", Bytes: []byte(note)}}
	attached := mailed(t, letter)
	if strings.Contains(whole, note) || strings.Contains(attached, note) {
		t.Fatal("the letter holds the note plainly, so that reading its parts is not tried")
	}
	for name, c := range map[string]struct{ text, want string }{
		"the note's file":               {note, note},
		"copied out of the letter":      {"Keep this letter.\n\n" + note, note},
		"the letter as it came":         {whole, note},
		"the letter without a CR":       {strings.ReplaceAll(whole, "\r\n", "\n"), note},
		"with the file attached":        {attached, note},
		"a letter that holds none":      {"Subject: x\r\n\r\nNothing here.\r\n", ""},
		"parts without end":             {"Content-Type: multipart/mixed; boundary=b\n\n--b\n", ""},
		"no letter":                     {"Nothing here", ""},
		"one that says it is in base64": {"Content-Transfer-Encoding: base64\n\n!!!!\n", ""},
	} {
		path := filepath.Join(t.TempDir(), "anchor")
		if err := os.WriteFile(path, []byte(c.text), 0o600); err != nil {
			t.Fatal(err)
		}
		a, err := readAnchor(path)
		if a.Note != c.want || (err == nil) != (c.want != "") {
			t.Errorf("%s: %q, %v", name, a.Note, err)
		}
	}
	receipt, file, _ := goldenReceipt(t)
	r, err := journal.ParseReceipt(receipt)
	if err != nil {
		t.Fatal(err)
	}
	if a, err := readAnchor(file); err != nil || a.Receipt == nil || a.Note != string(r.Proof.Checkpoint) {
		t.Errorf("of a receipt: %+v, %v", a, err)
	}
}

// TestVerifyFindsWhatStandsBeside: a check of a shop makes no key where there
// is none and says what to do, and reads photos where the server keeps them.
func TestVerifyFindsWhatStandsBeside(t *testing.T) {
	t.Parallel()
	store := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !strings.HasPrefix(r.URL.Path, "/pictures") {
			w.WriteHeader(http.StatusNotFound)
		}
	}))
	defer store.Close()
	data := t.TempDir()
	keys := filepath.Join(t.TempDir(), "s3")
	if err := os.WriteFile(keys, []byte("access\nsecret\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	c := verifyCommand{database: database{Data: data}}
	var found app.Options
	if err := c.beside(t.Context(), &found); err != nil || found.Blobs != nil || found.Anchors != nil {
		t.Errorf("of an empty folder: %+v, %v", found, err)
	}
	c.s3Store = s3Store{PhotosS3Endpoint: store.URL, PhotosS3Bucket: "pictures", PhotosS3Region: "us-east-1", PhotosS3PathStyle: true, PhotosS3Keys: keys}
	if err := c.beside(t.Context(), &found); err != nil || found.Blobs == nil {
		t.Errorf("with an S3 store: %+v, %v", found, err)
	}
	c.PhotosS3Bucket = "none"
	if err := c.beside(t.Context(), &app.Options{}); err == nil {
		t.Error("a store without the bucket passes")
	}
	folder := filepath.Join(data, "keys")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	err := verifyCommand{database: database{Data: data}}.beside(t.Context(), &app.Options{})
	if err == nil || !strings.Contains(err.Error(), "there is no key of the journal in "+folder) {
		t.Errorf("of a key folder without a key: %v", err)
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) != 0 {
		t.Errorf("the check made %v, %v", left, err)
	}
}
