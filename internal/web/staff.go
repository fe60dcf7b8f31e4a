package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"slices"
	"strings"
)

// The staff app is files that run in the browser and speak with the JSON API
// like any other client. They are served under the hash of the whole tree, so
// that they may be kept for good and no page mixes two releases.
//
//go:embed staff/*.js staff/style.css staff/index.html staff/kit/*.js staff/lib/*.js staff/screens staff/words staff/vendor/*.js staff/vendor/LICENCES.txt staff/engine
var staffFiles embed.FS

// staffPolicy lets the app run its own scripts, speak with its own server and
// show pictures it made itself. Text never becomes markup or script, but for the
// one address of the worker that keeps these files; WebAssembly is the engine's.
const staffPolicy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; worker-src 'self'; " +
	"manifest-src 'self'; form-action 'self'; base-uri 'none'; object-src 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types benchtag-worker"

// workerPolicy is that of the worker: it reads the app's files, and runs nothing else.
const workerPolicy = "default-src 'none'; connect-src 'self'; frame-ancestors 'none'; base-uri 'none'"

// workerPath is where the worker lies, so that it may serve every screen.
const workerPath = "/s/worker.js"

// staffFile is one file of the app, as it goes out.
type staffFile struct {
	kind          string
	plain, packed []byte
}

// staffApp is the tree of files and the page that loads it.
type staffApp struct {
	hash string
	page []byte
	// worker keeps the files for a start without the network.
	worker []byte
	files  map[string]staffFile
}

// kindOfFile gives the media type of one of the app's files.
func kindOfFile(name string) string {
	switch path.Ext(name) {
	case ".js":
		return "text/javascript; charset=utf-8"
	case ".css":
		return "text/css; charset=utf-8"
	case ".wasm":
		return "application/wasm"
	}
	return "text/plain; charset=utf-8"
}

// readStaff reads the tree and names it by its hash.
func readStaff() (staffApp, error) {
	app := staffApp{files: map[string]staffFile{}}
	sum := sha256.New()
	err := fs.WalkDir(staffFiles, "staff", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := staffFiles.ReadFile(name)
		if err != nil {
			return err
		}
		packed, err := pack(text)
		if err != nil {
			return err
		}
		short := strings.TrimPrefix(name, "staff/")
		_, _ = fmt.Fprintf(sum, "%s %d\n", short, len(text))
		_, _ = sum.Write(text)
		app.files[short] = staffFile{kind: kindOfFile(short), plain: text, packed: packed}
		return nil
	})
	if err != nil {
		return app, fmt.Errorf("web: staff app: %w", err)
	}
	app.hash = hex.EncodeToString(sum.Sum(nil)[:8])
	page, err := template.New("index").Parse(string(app.files["index.html"].plain))
	if err != nil {
		return app, fmt.Errorf("web: staff app: %w", err)
	}
	var b bytes.Buffer
	if err := page.Execute(&b, app.hash); err != nil {
		return app, fmt.Errorf("web: staff app: %w", err)
	}
	app.page = b.Bytes()
	delete(app.files, "index.html")
	app.worker, err = app.makeWorker()
	return app, err
}

// makeWorker takes the worker out of the tree and tells it the release and
// the files that the app is made of.
func (app staffApp) makeWorker() ([]byte, error) {
	var names []string
	text := app.files["worker.js"].plain
	delete(app.files, "worker.js")
	for name := range app.files {
		if path.Ext(name) != ".txt" {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	list, err := json.Marshal(names)
	if err != nil {
		return nil, fmt.Errorf("web: staff app: %w", err)
	}
	return fmt.Appendf(nil, "const release = %q, files = %s;\n%s", app.hash, list, text), nil
}

func pack(text []byte) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := z.Write(text); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil { // writes what is left
		return nil, err
	}
	return b.Bytes(), nil
}

// Staff is the page that loads the staff app, whatever screen its address names.
func (p *Pages) Staff(w http.ResponseWriter, r *http.Request) {
	openHeaders(w.Header())
	if r.URL.Path == workerPath {
		w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
		w.Header().Set("Content-Security-Policy", workerPolicy)
		write(w, r, http.StatusOK, p.staff.worker)
		return
	}
	w.Header().Set("Content-Security-Policy", staffPolicy)
	w.Header().Set("Permissions-Policy", "camera=(self), geolocation=(), microphone=()")
	write(w, r, http.StatusOK, p.staff.page)
}

// StaffFile is a file of the staff app: hash names the tree it belongs to.
func (p *Pages) StaffFile(w http.ResponseWriter, r *http.Request, hash, name string) {
	file, ok := p.staff.files[name]
	if !ok || hash != p.staff.hash {
		p.trouble(w, r, http.StatusNotFound)
		return
	}
	h := w.Header()
	h.Set("Content-Type", file.kind)
	h.Set("Cache-Control", "public, max-age=31536000, immutable")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Vary", "Accept-Encoding")
	if strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
		h.Set("Content-Encoding", "gzip")
		write(w, r, http.StatusOK, file.packed)
		return
	}
	write(w, r, http.StatusOK, file.plain)
}
