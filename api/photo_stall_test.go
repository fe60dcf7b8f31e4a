package api_test

import (
	"bytes"
	"context"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"benchtag/api"
)

// waiting is an answer that remembers until when the request may be read, as
// a connection does.
type waiting struct {
	*httptest.ResponseRecorder
	windows []time.Duration // how far ahead each moment lay
}

func (w *waiting) SetReadDeadline(until time.Time) error {
	if !until.IsZero() {
		w.windows = append(w.windows, time.Until(until))
	}
	return nil
}

// stalled is a body whose sender falls silent: the connection gives up when
// its time is over.
type stalled struct {
	sent io.Reader
	on   *waiting
	t    *testing.T
}

func (s stalled) Read(b []byte) (int, error) {
	n, err := s.sent.Read(b)
	if err != io.EOF {
		return n, err
	}
	if len(s.on.windows) == 0 {
		s.t.Error("a silent sender would be waited for without end")
	}
	return n, os.ErrDeadlineExceeded
}

// files lists what lies in the folder of pictures.
func (d *photoDesk) files() (names []string) {
	d.t.Helper()
	err := filepath.WalkDir(d.folder, func(path string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			names = append(names, path)
		}
		return err
	})
	if err != nil {
		d.t.Fatal(err)
	}
	return names
}

// nothingStored makes sure that a photo has no content and no file is left,
// and that the same picture can be sent again.
func (d *photoDesk) nothingStored(id string, content []byte) {
	d.t.Helper()
	if left := d.files(); len(left) != 0 {
		d.t.Errorf("left behind: %v", left)
	}
	if res, _ := d.get(recordTech, id, "content", nil); res.StatusCode != http.StatusNotFound {
		d.t.Errorf("the content is answered with %d", res.StatusCode)
	}
	if status, got := d.sendPicture(id, content); status != http.StatusCreated {
		d.t.Errorf("sent again: %d %v", status, got)
	}
	if len(d.files()) == 0 {
		d.t.Error("nothing was stored, so that nothing half left was looked for")
	}
}

// TestAStalledUploadEnds: a client that falls silent in the middle of a
// picture is let go after a window of ten seconds, is told so, and leaves
// nothing behind; the slot it held is free.
func TestAStalledUploadEnds(t *testing.T) {
	t.Parallel()
	d := openPhotoDesk(t)
	content := picture(t, 400, 300)
	id := d.record(recordTech, map[string]any{})
	for range 5 { // more than one person may send at once: each gives its place back
		w := &waiting{ResponseRecorder: httptest.NewRecorder()}
		req := d.upload(id, content, stalled{bytes.NewReader(content[:len(content)/2]), w, t})
		d.server.ServeHTTP(w, req)
		if w.Code != http.StatusServiceUnavailable || !strings.Contains(w.Body.String(), "api.upload_too_slow") || w.Header().Get("Retry-After") == "" {
			t.Fatalf("%d %v %s", w.Code, w.Header(), w.Body)
		}
		for _, ahead := range w.windows {
			if ahead > 10*time.Second || ahead < 5*time.Second {
				t.Errorf("a window of %v", ahead)
			}
		}
	}
	d.nothingStored(id, content)
}

// upload is a request with a picture.
func (d *photoDesk) upload(id string, content []byte, body io.Reader) *http.Request {
	req := httptest.NewRequest(http.MethodPut, "/v1/jobs/"+recordJob+"/photos/"+id+"/content", body)
	req.ContentLength = int64(len(content))
	req.Header.Set("Authorization", "Bearer "+recordTech)
	req.Header.Set("Content-Type", "image/png")
	req.Header.Set("Content-Digest", digestOf(content))
	return req
}

// TestAnUploadCutOffLeavesNothing: over a real connection, a client that goes
// away in the middle of a picture leaves nothing behind, and its request ends.
func TestAnUploadCutOffLeavesNothing(t *testing.T) {
	t.Parallel()
	d := openPhotoDesk(t)
	content := picture(t, 400, 300)
	id := d.record(recordTech, map[string]any{})
	ended := make(chan struct{})
	server := httptest.NewServer(endTelling{d.server, ended})
	defer server.Close()
	conn, err := net.Dial("tcp", strings.TrimPrefix(server.URL, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	var whole bytes.Buffer
	if err := d.upload(id, content, bytes.NewReader(content)).WithContext(context.Background()).Write(&whole); err != nil {
		t.Fatal(err)
	}
	if _, err := conn.Write(whole.Bytes()[:whole.Len()-len(content)/2]); err != nil {
		t.Fatal(err)
	}
	if err := conn.Close(); err != nil {
		t.Fatal(err)
	}
	select {
	case <-ended:
	case <-time.After(30 * time.Second):
		t.Fatal("the request goes on though its client is gone")
	}
	d.nothingStored(id, content)
}

// endTelling says when a request has ended.
type endTelling struct {
	*api.Server
	ended chan struct{}
}

func (s endTelling) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	s.Server.ServeHTTP(w, r)
	close(s.ended)
}
