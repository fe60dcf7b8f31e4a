package web

import (
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"

	"benchtag/internal/journal"
)

//go:embed verify
var verifyFiles embed.FS

// VerifyPage gives the page that checks receipts, whole in one file: style
// and script are inside, and it loads nothing, so that it works saved, from
// a file and without a network.
func VerifyPage() ([]byte, error) {
	page, err := buildVerify()
	return page.html, err
}

// verifyPage is the page with the policy it is served under.
type verifyPage struct {
	html   []byte
	policy string
}

func buildVerify() (verifyPage, error) {
	var texts [5]string
	for i, name := range []string{"page.html", "page.css", "check.js", "page.js"} {
		b, err := verifyFiles.ReadFile("verify/" + name)
		if err != nil {
			return verifyPage{}, fmt.Errorf("web: %w", err)
		}
		texts[i] = string(b)
	}
	common, err := files.ReadFile("files/style.css")
	if err != nil {
		return verifyPage{}, fmt.Errorf("web: %w", err)
	}
	style := string(common) + texts[1]
	script, err := withHead(texts[2] + texts[3])
	if err != nil {
		return verifyPage{}, err
	}
	policy := "default-src 'none'; script-src " + hashSource(script) + "; style-src " + hashSource(style) + "; base-uri 'none'; form-action 'none'"
	html := strings.NewReplacer("{{POLICY}}", policy, "{{STYLE}}", style, "{{SCRIPT}}", script).Replace(texts[0])
	return verifyPage{html: []byte(html), policy: policy + "; frame-ancestors 'none'"}, nil
}

// withHead puts the words of a receipt's head into the script, which
// compares them.
func withHead(script string) (string, error) {
	opening, closing := journal.ReceiptHead()
	for mark, words := range map[string]string{`/*HEAD-OPENING*/""`: opening, `/*HEAD-CLOSING*/""`: closing} {
		quoted, err := json.Marshal(words) // escapes < and &, so it cannot end the script
		if err != nil {
			return "", fmt.Errorf("web: %w", err)
		}
		script = strings.Replace(script, mark, string(quoted), 1)
	}
	return script, nil
}

// hashSource lets a policy name one inline script or style by its SHA-256
// (CSP level 3, hash-source).
func hashSource(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// Verify is the page that checks receipts. It holds nobody's data.
func (p *Pages) Verify(w http.ResponseWriter, r *http.Request) {
	openHeaders(w.Header())
	w.Header().Set("Content-Security-Policy", p.verify.policy)
	write(w, r, http.StatusOK, p.verify.html)
}
