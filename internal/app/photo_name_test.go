package app_test

import (
	"path/filepath"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"benchtag/internal/app"
)

// hostileNames are names of files that lead elsewhere, hide what they are, or
// mean something to a shell, a header or a file system. Own collection.
func hostileNames() []string {
	names := []string{
		"", " ", ".", "..", "...", "/", `\`, "//", `\\`, "../", `..\`, "../../etc/passwd", `..\..\windows\system32\config`, "/etc/passwd", `C:\autoexec.bat`, "C:", "c:photo.jpg",
		"....//....//x", "..%2f..%2fx", "%2e%2e%2f", "..%c0%afx", "..%5cx", "x/../../y.jpg", "./x.jpg", "x.jpg/", "x.jpg/.", "x.jpg\x00.exe", "\x00", "a\nb.jpg", "a\r\nSet-Cookie: x=1.jpg",
		`a"; filename="b.exe`, `a'b.jpg`, "a;b.jpg", "a|b.jpg", "a>b.jpg", "a<b.jpg", "a*b?.jpg", "$(id).jpg", "`id`.jpg", "-rf.jpg", "~/x.jpg", "x.jpg.exe", "x.php.jpg", "x.svg", "x.html",
		"x.jpg.", "x.jpg ", " x.jpg", ".htaccess", ".ssh/authorized_keys", "CON", "nul.jpg", "COM1.png", "x::$DATA", "x:stream.jpg", "\u202egpj.exe", "x\u2028y.jpg", "\ufeffx.jpg", "x\u200b.jpg",
		"\xff\xfe.jpg", "ÄÖÜ ß.jpg", "фото.jpg", "写真.png", "🏍.jpg", "e\u0301.jpg", strings.Repeat("a", 5_000) + ".jpg", strings.Repeat("ä", 300), strings.Repeat("../", 500) + "x", "https://evil.example/x.jpg",
		"file:///etc/passwd", `\\host\share\x.jpg`, "//host/share/x.jpg", "x.jpg?y=1", "x.jpg#y", "a%00b.jpg", "\t\v\f.jpg",
	}
	return names
}

// The name to save a photo under leads nowhere, hides nothing, fits a file
// system, and ends as what the file is, whatever name it came with.
func TestDisplayNames(t *testing.T) {
	t.Parallel()
	names := hostileNames()
	if len(names) < 60 {
		t.Fatalf("only %d names", len(names))
	}
	for _, from := range names {
		for kind, ending := range map[string]string{"image/png": ".png", "image/jpeg": ".jpg"} {
			got := app.PhotoFile{Name: from, MediaType: kind}.DisplayName()
			switch {
			case !strings.HasSuffix(got, ending), len(got) > 255, !utf8.ValidString(got):
				t.Errorf("%q gives %q", from, got)
			case !filepath.IsLocal(got), filepath.Base(got) != got, strings.ContainsAny(got, `/\:*?"<>|;%`), strings.HasPrefix(got, "."), got == ending:
				t.Errorf("%q gives %q, which leads elsewhere", from, got)
			case strings.ContainsFunc(got, func(r rune) bool { return !unicode.IsGraphic(r) }):
				t.Errorf("%q gives %q, which hides something", from, got)
			}
		}
	}
	for from, want := range map[string]string{"guide.png": "guide.jpg", "фото на верстаке.HEIC": "фото на верстаке.jpg", "../x.jpg": "x.jpg", "": "photo.jpg"} {
		if got := (app.PhotoFile{Name: from, MediaType: "image/jpeg"}).DisplayName(); got != want {
			t.Errorf("%q gives %q, want %q", from, got, want)
		}
	}
}
