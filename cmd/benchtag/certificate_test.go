package main

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// makeCertificate runs the command and gives what it says.
func makeCertificate(t *testing.T, c certificateCommand, now time.Time) (string, error) {
	t.Helper()
	var said bytes.Buffer
	err := c.make(outputs{out: &said, err: &said}, now)
	return said.String(), err
}

// trusting is a pool that holds the shop's authority alone.
func trusting(t *testing.T, folder string) *x509.CertPool {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(folder, authorityFile))
	if err != nil {
		t.Fatal(err)
	}
	pool := x509.NewCertPool()
	if !pool.AppendCertsFromPEM(text) {
		t.Fatal("the authority's file holds no certificate")
	}
	return pool
}

// TestCertificateServes lets a client that trusts the shop's authority speak
// with a server that has the certificate, before and after a new one.
func TestCertificateServes(t *testing.T) {
	t.Parallel()
	c := certificateCommand{Name: "Bench.Home.arpa", IP: []net.IP{net.IPv4(127, 0, 0, 1)}, Folder: filepath.Join(t.TempDir(), "certificates")}
	now := time.Now()
	said, err := makeCertificate(t, c, now)
	if err != nil {
		t.Fatal(err)
	}
	pool := trusting(t, c.Folder)
	serve := func() {
		pair, err := tls.LoadX509KeyPair(filepath.Join(c.Folder, certFile), filepath.Join(c.Folder, certKeyFile))
		if err != nil {
			t.Fatal(err)
		}
		server := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusNoContent) }))
		server.TLS = &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12}
		server.StartTLS()
		defer server.Close()
		for _, name := range []string{"bench.home.arpa", "127.0.0.1"} {
			client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool, ServerName: name, MinVersion: tls.VersionTLS12}}}
			res, err := client.Get(server.URL)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			_ = res.Body.Close()
			client.CloseIdleConnections()
		}
	}
	serve()
	for _, file := range []string{authorityFile, authorityKeyFile, certFile, certKeyFile} {
		if info, err := os.Stat(filepath.Join(c.Folder, file)); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v", file, info, err)
		}
	}
	for _, want := range []string{"--tls-cert", "WARNING", "fingerprint", now.Add(certLife).Format(time.DateOnly)} {
		if !strings.Contains(said, want) {
			t.Errorf("it does not say %q:\n%s", want, said)
		}
	}
	if before, after := strings.Index(said, "WARNING"), strings.Index(said, "Take it off this machine"); before < 0 || after < before {
		t.Error("the warning does not stand before what to do")
	}
	if _, err := makeCertificate(t, c, now.Add(time.Minute)); err != nil {
		t.Fatal(err)
	}
	serve() // the tablets need nothing new
}

// TestCertificateIsGoodForNothingElse signs other names with the authority's
// key, as a thief would, and sees them refused.
func TestCertificateIsGoodForNothingElse(t *testing.T) {
	t.Parallel()
	for _, with := range [][]net.IP{nil, {net.IPv4(10, 0, 0, 5)}} {
		c := certificateCommand{Name: "bench.home.arpa", IP: with, Folder: t.TempDir()}
		if _, err := makeCertificate(t, c, time.Now()); err != nil {
			t.Fatal(err)
		}
		by, err := readSigner(filepath.Join(c.Folder, authorityFile), filepath.Join(c.Folder, authorityKeyFile))
		if err != nil {
			t.Fatal(err)
		}
		pool := trusting(t, c.Folder)
		ask := func(template x509.Certificate, name string) error {
			key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
			if err != nil {
				t.Fatal(err)
			}
			template.SerialNumber, template.NotBefore, template.NotAfter = big.NewInt(7), time.Now().Add(-time.Minute), time.Now().Add(time.Hour)
			if template.ExtKeyUsage == nil {
				template.ExtKeyUsage = []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}
			}
			der, err := x509.CreateCertificate(rand.Reader, &template, by.cert, key.Public(), by.key)
			if err != nil {
				t.Fatal(err)
			}
			cert, err := x509.ParseCertificate(der)
			if err != nil {
				t.Fatal(err)
			}
			_, err = cert.Verify(x509.VerifyOptions{Roots: pool, DNSName: name, KeyUsages: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}})
			return err
		}
		if err := ask(x509.Certificate{DNSNames: []string{"bench.home.arpa"}}, "bench.home.arpa"); err != nil {
			t.Errorf("its own name: %v", err)
		}
		for name, template := range map[string]x509.Certificate{
			"bank.example":         {DNSNames: []string{"bank.example"}},
			"home.arpa":            {DNSNames: []string{"home.arpa"}},
			"otherbench.home.arpa": {DNSNames: []string{"otherbench.home.arpa"}},
			"192.0.2.1":            {IPAddresses: []net.IP{net.IPv4(192, 0, 2, 1)}},
			"2001:db8::1":          {IPAddresses: []net.IP{net.ParseIP("2001:db8::1")}},
			"":                     {DNSNames: []string{"bench.home.arpa"}, EmailAddresses: []string{"a@bank.example"}},
		} {
			if err := ask(template, name); err == nil {
				t.Errorf("%q is accepted", name)
			}
		}
		if err := ask(x509.Certificate{DNSNames: []string{"bench.home.arpa"}, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageCodeSigning}}, ""); err == nil {
			t.Error("a certificate for signing programs is accepted")
		}
		if c := by.cert; !c.PermittedDNSDomainsCritical || !c.MaxPathLenZero || c.KeyUsage != x509.KeyUsageCertSign {
			t.Errorf("the authority may do more than it should: %+v", c.Subject)
		}
	}
}

// TestCertificateRefuses holds what is said when it can't be made.
func TestCertificateRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, want string }{
		{"com", "names under"}, {"co.uk", "names under"}, {"home.arpa", "names under"}, {"bench", "names under"},
		{"192.0.2.7", "--ip"}, {"bench home.arpa", "no name"}, {"a..b", "no name"}, {".example", "no name"}, {"", "names under"},
		{strings.Repeat("a", 254) + ".example", "no name"}, {"bénch.example", "no name"},
	} {
		if _, err := makeCertificate(t, certificateCommand{Name: c.name, Folder: t.TempDir()}, time.Now()); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q in it", c.name, err, c.want)
		}
	}

	folder, now := t.TempDir(), time.Now()
	first := certificateCommand{Name: "bench.home.arpa", Folder: folder}
	if _, err := makeCertificate(t, first, now); err != nil {
		t.Fatal(err)
	}
	refused := func(c certificateCommand, at time.Time, want string) {
		t.Helper()
		before, err := os.ReadFile(filepath.Join(folder, certFile))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := makeCertificate(t, c, at); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q in it", err, want)
		}
		if after, err := os.ReadFile(filepath.Join(folder, certFile)); err != nil || !bytes.Equal(before, after) {
			t.Error("the certificate that serves was touched")
		}
	}
	refused(certificateCommand{Name: "front.home.arpa", Folder: folder}, now, "good for bench.home.arpa alone")
	refused(certificateCommand{Name: "bench.home.arpa", IP: []net.IP{net.IPv4(10, 0, 0, 5)}, Folder: folder}, now, "not good for the address 10.0.0.5")
	refused(first, now.Add(8*365*24*time.Hour), "ends on")

	other := t.TempDir()
	if _, err := makeCertificate(t, certificateCommand{Name: "bench.home.arpa", Folder: other}, now); err != nil {
		t.Fatal(err)
	}
	key := filepath.Join(folder, authorityKeyFile)
	if err := os.Rename(filepath.Join(other, authorityKeyFile), key); err != nil {
		t.Fatal(err)
	}
	refused(first, now, "does not belong")
	if err := os.Remove(key); err != nil {
		t.Fatal(err)
	}
	refused(first, now, "bring "+authorityKeyFile+" back")
	if err := os.WriteFile(key, []byte("no key"), 0o600); err != nil {
		t.Fatal(err)
	}
	refused(first, now, "holds no PEM")
}

// TestCertificateFileIsPlain makes sure that what tablets get holds no key.
func TestCertificateFileIsPlain(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	if _, err := makeCertificate(t, certificateCommand{Name: "bench.home.arpa", Folder: folder}, time.Now()); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(folder, authorityFile))
	if err != nil {
		t.Fatal(err)
	}
	block, rest := pem.Decode(text)
	if block == nil || block.Type != "CERTIFICATE" || len(bytes.TrimSpace(rest)) != 0 {
		t.Errorf("it holds more than a certificate:\n%s", text)
	}
	cert, err := x509.ParseCertificate(block.Bytes)
	if err != nil || cert.Subject.String() != (pkix.Name{CommonName: "Benchtag shop authority for bench.home.arpa"}).String() {
		t.Errorf("%v, %v", cert.Subject, err)
	}
}
