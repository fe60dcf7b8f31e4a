package main

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"

	"golang.org/x/net/publicsuffix"

	"benchtag/internal/auth/keyfile"
)

// Files that certificateCommand keeps in its folder.
const (
	authorityFile    = "shop-authority.pem"
	authorityKeyFile = "shop-authority-key.pem"
	certFile         = "cert.pem"
	certKeyFile      = "key.pem"
)

const (
	authorityLife = 10 * 365 * 24 * time.Hour
	// certLife stays under the 825 days that tablets allow a certificate of an
	// authority that somebody installed (Apple's requirements for trusted certificates; from memory).
	certLife = 820 * 24 * time.Hour
)

type certificateCommand struct {
	Name   string   `arg:"" help:"Name by which tablets reach the server, as in bench.home.arpa."`
	IP     []net.IP `help:"Address by which they reach it, if they do; may be given again." name:"ip" placeholder:"ADDRESS"`
	Folder string   `help:"Folder for the four files." default:"certificates" type:"path"`
}

// Run makes the shop's own certificate authority, unless it is there, and a
// certificate of the server by it.
func (c certificateCommand) Run(_ context.Context, to outputs) error {
	return c.make(to, time.Now())
}

func (c certificateCommand) make(to outputs, now time.Time) error {
	name, err := ownName(c.Name)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(c.Folder, 0o700); err != nil {
		return fmt.Errorf("make the folder for the certificates: %w", err)
	}
	authority, err := c.authority(name, now)
	if err != nil {
		return err
	}
	until, err := c.issue(authority, name, now)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(authority.cert.Raw)
	_, err = fmt.Fprintf(to.out, certificateWords, filepath.Join(c.Folder, certFile), filepath.Join(c.Folder, certKeyFile), name,
		until.Format(time.DateOnly), filepath.Join(c.Folder, authorityFile), pairs(sum[:]), filepath.Join(c.Folder, authorityKeyFile), authorityFile)
	return err
}

const certificateWords = `The server's certificate is made. Serve with it:

  benchtag serve --listen :8443 --tls-cert %s --tls-key %s --public-url https://%s:8443

It ends on %s: run this command again before then; tablets need nothing new.

Each tablet is told once to trust the shop's own authority:

  1. Bring %s to the tablet, by cable or by mail to yourself.
  2. Open it there and install it:
     iPad: Settings, "Profile Downloaded", Install; then General, About,
     Certificate Trust Settings, and switch it on.
     Android: Settings, search for "CA certificate", Install.
     Words differ between versions; the maker's help says where.
  3. Compare the fingerprint (SHA-256) the tablet shows with this one. If it
     differs, do not install it.
     %s

WARNING: whoever has the authority's key can pass for this server towards
the tablets, and read passwords. Take it off this machine now, and keep it
where only the owner comes to it. It is needed again only for the next
certificate:
  %s

The authority is good for the names above alone, so a tablet that trusts it
trusts it for nothing else. Remove %s from tablets that leave the shop.
`

// pairs writes a fingerprint as tablets show it.
func pairs(sum []byte) string {
	out := make([]string, len(sum))
	for i, b := range sum {
		out[i] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(out[:16], ":") + ":\n     " + strings.Join(out[16:], ":")
}

// ownName gives the name in small letters. One under which others have names
// too, as com or co.uk, is refused: the authority would be good for all.
func ownName(name string) (string, error) {
	name = strings.ToLower(strings.TrimSuffix(name, "."))
	suffix, _ := publicsuffix.PublicSuffix(name)
	switch {
	case net.ParseIP(name) != nil:
		return "", fmt.Errorf("%s is an address: give a name, as in bench.home.arpa, and the address with --ip", name)
	case len(name) > 253 || strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789-.") != "" || strings.Contains(name, "..") || strings.HasPrefix(name, "."):
		return "", fmt.Errorf("%q is no name of a server: give letters, digits, hyphens and dots, as in bench.home.arpa", name)
	case suffix == name:
		return "", fmt.Errorf("%q is a name that others have names under: give one of your own below it, as in bench.home.arpa or bench.yourshop.example", name)
	}
	return name, nil
}

// signer is a certificate and what signs in its name.
type signer struct {
	cert *x509.Certificate
	key  *ecdsa.PrivateKey
}

// authority opens the shop's authority, or makes it for these names.
func (c certificateCommand) authority(name string, now time.Time) (signer, error) {
	certPath, keyPath := filepath.Join(c.Folder, authorityFile), filepath.Join(c.Folder, authorityKeyFile)
	have, err := readSigner(certPath, keyPath)
	switch {
	case err == nil:
		return have, c.fits(have.cert, name, now)
	case !errors.Is(err, fs.ErrNotExist):
		return signer{}, err
	}
	if _, err := os.Stat(certPath); err == nil {
		return signer{}, fmt.Errorf("%s is here and its key is not: bring %s back for this, or give another --folder to begin anew on every tablet", certPath, authorityKeyFile)
	}
	template := &x509.Certificate{
		Subject:   pkix.Name{CommonName: "Benchtag shop authority for " + name},
		NotBefore: now.Add(-time.Hour), NotAfter: now.Add(authorityLife),
		IsCA: true, BasicConstraintsValid: true, MaxPathLenZero: true,
		KeyUsage: x509.KeyUsageCertSign, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		PermittedDNSDomainsCritical: true, PermittedDNSDomains: []string{name},
		// What is not named here would be allowed (RFC 5280, section 4.2.1.10).
		PermittedEmailAddresses: []string{name}, PermittedURIDomains: []string{name},
	}
	for _, ip := range c.IP {
		template.PermittedIPRanges = append(template.PermittedIPRanges, alone(ip))
	}
	if len(c.IP) == 0 {
		template.ExcludedIPRanges = []*net.IPNet{{IP: net.IPv4zero.To4(), Mask: net.CIDRMask(0, 32)}, {IP: net.IPv6zero, Mask: net.CIDRMask(0, 128)}}
	}
	return makeSigner(template, nil, certPath, keyPath, os.Link)
}

// fits reports whether an authority that is there can vouch for what is asked.
func (c certificateCommand) fits(cert *x509.Certificate, name string, now time.Time) error {
	again := "give another --folder to begin anew, and install that authority on every tablet"
	if now.Add(certLife).After(cert.NotAfter) {
		return fmt.Errorf("the shop's authority ends on %s, before a new certificate would: %s", cert.NotAfter.Format(time.DateOnly), again)
	}
	for _, permitted := range cert.PermittedDNSDomains {
		if name != permitted && !strings.HasSuffix(name, "."+permitted) {
			return fmt.Errorf("the shop's authority is good for %s alone, not for %s: %s", permitted, name, again)
		}
	}
	for _, ip := range c.IP {
		within := false
		for _, permitted := range cert.PermittedIPRanges {
			within = within || permitted.Contains(ip)
		}
		if !within {
			return fmt.Errorf("the shop's authority is not good for the address %s: %s", ip, again)
		}
	}
	return nil
}

// issue makes the server's certificate, with a new key, and says when it ends.
func (c certificateCommand) issue(by signer, name string, now time.Time) (time.Time, error) {
	template := &x509.Certificate{
		Subject:   pkix.Name{CommonName: name},
		NotBefore: now.Add(-time.Hour), NotAfter: now.Add(certLife),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true, DNSNames: []string{name}, IPAddresses: c.IP,
	}
	_, err := makeSigner(template, &by, filepath.Join(c.Folder, certFile), filepath.Join(c.Folder, certKeyFile), os.Rename)
	return template.NotAfter, err
}

// alone is the range of one address.
func alone(ip net.IP) *net.IPNet {
	if four := ip.To4(); four != nil {
		return &net.IPNet{IP: four, Mask: net.CIDRMask(32, 32)}
	}
	return &net.IPNet{IP: ip, Mask: net.CIDRMask(128, 128)}
}

// makeSigner makes a key and a certificate of it, signed by another or by
// itself, and writes both: os.Link replaces nothing that is there, os.Rename does.
func makeSigner(template *x509.Certificate, by *signer, certPath, keyPath string, place func(from, to string) error) (signer, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return signer{}, err
	}
	// 128 random bits: no two certificates share a number.
	if template.SerialNumber, err = rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 128)); err != nil {
		return signer{}, err
	}
	if by == nil {
		by = &signer{cert: template, key: key}
	}
	der, err := x509.CreateCertificate(rand.Reader, template, by.cert, key.Public(), by.key)
	if err != nil {
		return signer{}, fmt.Errorf("make the certificate: %w", err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return signer{}, err
	}
	if err := keyfile.Write(keyPath, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}), place); err != nil {
		return signer{}, fmt.Errorf("write %s: %w", keyPath, err)
	}
	if err := keyfile.Write(certPath, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), place); err != nil {
		return signer{}, fmt.Errorf("write %s: %w", certPath, err)
	}
	cert, err := x509.ParseCertificate(der)
	return signer{cert: cert, key: key}, err
}

// maxPEM is the most bytes that a key of ours can have.
const maxPEM = 16 << 10

// readSigner reads a certificate and its key.
func readSigner(certPath, keyPath string) (signer, error) {
	kept, err := keyfile.Read(keyPath, maxPEM, "")
	if err != nil {
		return signer{}, err
	}
	secret, err := inPEM(keyPath, kept)
	if err != nil {
		return signer{}, err
	}
	shown, err := os.ReadFile(certPath)
	if err != nil {
		return signer{}, err
	}
	der, err := inPEM(certPath, shown)
	if err != nil {
		return signer{}, err
	}
	key, err := x509.ParsePKCS8PrivateKey(secret)
	if err != nil {
		return signer{}, fmt.Errorf("%s: %w", keyPath, err)
	}
	cert, err := x509.ParseCertificate(der)
	if err != nil {
		return signer{}, fmt.Errorf("%s: %w", certPath, err)
	}
	ec, ok := key.(*ecdsa.PrivateKey)
	if !ok || !ec.PublicKey.Equal(cert.PublicKey) {
		return signer{}, fmt.Errorf("%s does not belong to %s: bring back the two that were made together", keyPath, certPath)
	}
	return signer{cert: cert, key: ec}, nil
}

func inPEM(path string, text []byte) ([]byte, error) {
	block, _ := pem.Decode(text)
	if block == nil {
		return nil, fmt.Errorf("%s holds no PEM text: bring back the file that was made", path)
	}
	return block.Bytes, nil
}
