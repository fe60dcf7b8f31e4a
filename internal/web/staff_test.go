package web_test

import (
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"benchtag/internal/web"
	"benchtag/openapi"
)

// staffPages are pages that serve the staff app alone.
func staffPages(t *testing.T) *web.Pages {
	t.Helper()
	p, err := web.New(web.Options{Contract: openapi.Document()})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// treeFile asks for a file of the tree, packed or plain, and gives its text.
func treeFile(t *testing.T, p *web.Pages, hash, name, accept string) (*httptest.ResponseRecorder, string) {
	t.Helper()
	w := httptest.NewRecorder()
	r := httptest.NewRequest(http.MethodGet, "/a/"+hash+"/"+name, nil)
	r.Header.Set("Accept-Encoding", accept)
	p.StaffFile(w, r, hash, name)
	if w.Header().Get("Content-Encoding") != "gzip" {
		return w, w.Body.String()
	}
	z, err := gzip.NewReader(w.Body)
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(z)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return w, string(text)
}

var (
	treeHash = regexp.MustCompile(`/a/([0-9a-f]{16})/`)
	needed   = regexp.MustCompile(`(?m)(?:^|;)(?:import|export)[\s{*][^;]*?from\s*"(\.[^"]+)"`)
	imported = regexp.MustCompile(`(?:\bfrom|\bimport)\s*\(?"([^"\n ]+)"`)
)

func shell(t *testing.T, p *web.Pages) (hash, page string) {
	t.Helper()
	w := httptest.NewRecorder()
	p.Staff(w, httptest.NewRequest(http.MethodGet, "/s/floor", nil))
	page = w.Body.String()
	found := treeHash.FindStringSubmatch(page)
	if w.Code != http.StatusOK || found == nil {
		t.Fatalf("status %d, page %q", w.Code, page)
	}
	return found[1], page
}

// TestStaffAppIsWhole follows every import from the page on: each names a file
// of the same tree, by a relative path, and both ways of sending it give the
// file as it lies in the folder.
func TestStaffAppIsWhole(t *testing.T) {
	t.Parallel()
	p := staffPages(t)
	hash, _ := shell(t, p)
	seen, todo := map[string]bool{}, []string{"main.js", "style.css"}
	for len(todo) > 0 {
		name := todo[0]
		todo = todo[1:]
		if seen[name] {
			continue
		}
		seen[name] = true
		packed, text := treeFile(t, p, hash, name, "gzip")
		_, plain := treeFile(t, p, hash, name, "")
		file, err := os.ReadFile(filepath.Join("staff", filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		if text != string(file) || plain != string(file) {
			t.Errorf("%s goes out other than it is", name)
		}
		if packed.Header().Get("Cache-Control") != "public, max-age=31536000, immutable" {
			t.Errorf("%s: %v", name, packed.Header())
		}
		for _, m := range imported.FindAllStringSubmatch(text, -1) {
			if path.Ext(name) != ".js" || m[1] == "contract" || m[1] == "sent" { // types alone
				continue
			}
			if !strings.HasPrefix(m[1], ".") {
				t.Errorf("%s imports %q, which is no relative path", name, m[1])
			}
			todo = append(todo, path.Join(path.Dir(name), m[1]))
		}
	}
	if len(seen) < 10 {
		t.Fatalf("only %d files were found", len(seen))
	}
}

// TestStaffAppIsSmall keeps what a tablet loads first below 150 kB: the page, its
// style, and every file that the first one needs before it can draw. Screens
// that are asked for later count when they come.
func TestStaffAppIsSmall(t *testing.T) {
	t.Parallel()
	p := staffPages(t)
	hash, page := shell(t, p)
	size := len(page)
	seen, todo := map[string]bool{}, []string{"main.js", "style.css"}
	for len(todo) > 0 {
		name := todo[0]
		todo = todo[1:]
		if seen[name] {
			continue
		}
		seen[name] = true
		w := httptest.NewRecorder()
		r := httptest.NewRequest(http.MethodGet, "/a/x", nil)
		r.Header.Set("Accept-Encoding", "gzip")
		p.StaffFile(w, r, hash, name)
		if w.Code != http.StatusOK {
			t.Fatalf("%s is not served", name)
		}
		size += w.Body.Len()
		_, text := treeFile(t, p, hash, name, "")
		for _, m := range needed.FindAllStringSubmatch(text, -1) {
			todo = append(todo, path.Join(path.Dir(name), m[1]))
		}
	}
	if len(seen) < 15 || !seen["vendor/signals-core.js"] || seen["screens/intake.js"] || size < 10_000 || size > 150_000 {
		t.Errorf("the first load is %d bytes in %d files", size, len(seen))
	}
}

// TestStaffPolicy lets nothing but the app's own files run, and makes no text
// a script.
func TestStaffPolicy(t *testing.T) {
	t.Parallel()
	p := staffPages(t)
	w := httptest.NewRecorder()
	p.Staff(w, httptest.NewRequest(http.MethodGet, "/s", nil))
	policy := w.Header().Get("Content-Security-Policy")
	for _, want := range []string{"default-src 'none'", "script-src 'self' 'wasm-unsafe-eval';", "style-src 'self';", "base-uri 'none'", "object-src 'none'", "frame-ancestors 'none'", "require-trusted-types-for 'script'"} {
		if !strings.Contains(policy, want) {
			t.Errorf("the policy lacks %s: %s", want, policy)
		}
	}
	policy = strings.Replace(policy, " 'wasm-unsafe-eval'", "", 1) // the engine's, once, and no other
	if strings.Contains(policy, "unsafe") || strings.Contains(policy, "*") || strings.Contains(policy, "http") {
		t.Errorf("the policy lets too much in: %s", policy)
	}
	if strings.Contains(w.Body.String(), "<script>") || strings.Contains(w.Body.String(), "style=") {
		t.Error("the page holds a script or style of its own")
	}
}

// TestWorkerKeepsTheShellAlone holds the worker that lets the app start without
// the network: it names every file of its own tree, every one is served, and it
// keeps nothing but those and the page.
func TestWorkerKeepsTheShellAlone(t *testing.T) {
	t.Parallel()
	p := staffPages(t)
	hash, page := shell(t, p)
	w := httptest.NewRecorder()
	p.Staff(w, httptest.NewRequest(http.MethodGet, "/s/worker.js", nil))
	head, body, _ := strings.Cut(w.Body.String(), "\n")
	if kind := w.Header().Get("Content-Type"); kind != "text/javascript; charset=utf-8" || w.Header().Get("Cache-Control") != "no-cache" {
		t.Errorf("the worker goes out as %q, %q", kind, w.Header().Get("Cache-Control"))
	}
	if policy := w.Header().Get("Content-Security-Policy"); !strings.HasPrefix(policy, "default-src 'none'; connect-src 'self'") {
		t.Errorf("the worker's policy is %q", policy)
	}
	release, list, ok := strings.Cut(strings.TrimPrefix(head, "const release = "), ", files = ")
	if !ok || release != strconv.Quote(hash) || !strings.Contains(page, hash) {
		t.Fatalf("the worker begins with %q", head)
	}
	var names []string
	if err := json.Unmarshal([]byte(strings.TrimSuffix(list, ";")), &names); err != nil {
		t.Fatal(err)
	}
	if len(names) < 20 {
		t.Errorf("the worker keeps only %d files", len(names))
	}
	for _, name := range append(names, "main.js", "lib/outbox.js") {
		if got, _ := treeFile(t, p, hash, name, "gzip"); got.Code != http.StatusOK {
			t.Errorf("%s is not served", name)
		}
	}
	if strings.Contains(body, ".put(") || strings.Contains(body, "/v1") {
		t.Error("the worker may keep answers")
	}
}

// TestStaffFileOfAnotherRelease is not served: no page mixes two.
func TestStaffFileOfAnotherRelease(t *testing.T) {
	t.Parallel()
	p := staffPages(t)
	hash, _ := shell(t, p)
	for _, at := range [][2]string{{"0000000000000000", "main.js"}, {hash, "nothing.js"}, {hash, "../web.go"}, {hash, "index.html"}, {hash, "vendor/preact.d.ts"}} {
		w := httptest.NewRecorder()
		p.StaffFile(w, httptest.NewRequest(http.MethodGet, "/a/x", nil), at[0], at[1])
		if w.Code != http.StatusNotFound {
			t.Errorf("%v: status %d", at, w.Code)
		}
	}
}

// TestVendoredFiles are what the list of checksums says, and nothing else lies
// beside them.
func TestVendoredFiles(t *testing.T) {
	t.Parallel()
	list, err := os.ReadFile("staff/vendor/SUMS")
	if err != nil {
		t.Fatal(err)
	}
	sums := map[string]string{}
	for _, line := range strings.Split(strings.TrimSpace(string(list)), "\n") {
		sum, name, _ := strings.Cut(line, "  ")
		sums[name] = sum
	}
	entries, err := os.ReadDir("staff/vendor")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.Name() == "SUMS" || strings.HasSuffix(e.Name(), ".d.ts") {
			continue
		}
		text, err := os.ReadFile(filepath.Join("staff/vendor", e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		sum := sha256.Sum256(text)
		if sums[e.Name()] != hex.EncodeToString(sum[:]) {
			t.Errorf("%s is not what SUMS says", e.Name())
		}
		delete(sums, e.Name())
	}
	if len(sums) > 0 {
		t.Errorf("missing: %v", sums)
	}
}
