package notify

import (
	"errors"
	"net"
	"net/netip"
	"net/url"
	"slices"
	"strings"
	"syscall"
)

// errWalled is what a connection beyond the wall fails with.
var errWalled = errors.New("notify: this address may not be called")

// closed lists what is no public address (RFC 6890 and the IANA registries of
// special-purpose addresses, from memory): a call must reach none of it, or
// whoever writes an address into the settings of a shop could have this
// server speak to its own network.
func closed() []netip.Prefix {
	texts := []string{
		"0.0.0.0/8", "10.0.0.0/8", "100.64.0.0/10", "127.0.0.0/8", "169.254.0.0/16", "172.16.0.0/12",
		"192.0.0.0/24", "192.0.2.0/24", "192.31.196.0/24", "192.52.193.0/24", "192.88.99.0/24", "192.168.0.0/16",
		"192.175.48.0/24", "198.18.0.0/15", "198.51.100.0/24", "203.0.113.0/24", "224.0.0.0/4", "240.0.0.0/4",
		"::/96",                          // unspecified, loopback, v4-compatible
		"::ffff:0:0/96",                  // v4-mapped: looked at as v4 first
		"64:ff9b::/96", "64:ff9b:1::/48", // NAT64
		"100::/64", "2001::/23", "2001:db8::/32", // discard, special, documentation
		"2002::/16",              // 6to4
		"3fff::/20", "5f00::/16", // documentation, segment routing
		"fc00::/7", "fe80::/10", "fec0::/10", // private, link-local, site-local
		"ff00::/8", // multicast
	}
	out := make([]netip.Prefix, len(texts))
	for i, t := range texts {
		out[i] = netip.MustParsePrefix(t)
	}
	return out
}

// wall says where calls may go.
type wall struct {
	closed []netip.Prefix
	ports  []uint16
	// hosts are private ones that whoever runs the server lets shops call, by
	// name and port; plain HTTP is allowed to these alone.
	hosts []string
}

// publicIP reports whether an address is one that anybody may call.
func (w wall) publicIP(ip netip.Addr) bool {
	if ip.Zone() != "" {
		return false
	}
	ip = ip.Unmap()
	if !ip.IsValid() || !ip.IsGlobalUnicast() {
		return false
	}
	return !slices.ContainsFunc(w.closed, func(p netip.Prefix) bool { return p.Contains(ip) })
}

// control looks at the address a connection is about to go to, after the name
// was looked up and whatever the name said before.
func (w wall) control(_, address string, _ syscall.RawConn) error {
	at, err := netip.ParseAddrPort(address)
	if err != nil || !w.publicIP(at.Addr()) || !slices.Contains(w.ports, at.Port()) {
		return errWalled
	}
	return nil
}

// check refuses an address that may not be called, in words for the person
// who typed it, and says whether it is one of the hosts named.
func (w wall) check(address string) (u *url.URL, named bool, err error) {
	u, err = readAddress(address)
	if err != nil {
		return nil, false, err
	}
	if slices.Contains(w.hosts, strings.ToLower(u.Host)) && (u.Scheme == "https" || u.Scheme == "http") {
		return u, true, nil
	}
	if u.Scheme != "https" {
		return nil, false, errors.New("The address must start with https://, so that nobody reads along.")
	}
	if p := u.Port(); p != "" && p != "443" && p != "8443" {
		return nil, false, errors.New("The port must be 443 or 8443; leave it out for 443.")
	}
	if w.private(u.Hostname()) {
		return nil, false, errors.New("This address lies in a private network, which this server does not call.")
	}
	return u, false, nil
}

// readAddress refuses what is no address of the web, or could be read in two
// ways.
func readAddress(address string) (*url.URL, error) {
	u, err := url.Parse(address)
	if err != nil || u.Opaque != "" || u.Hostname() == "" || len(address) > 2000 || strings.ContainsAny(address, "\\ \t\r\n") {
		return nil, errors.New("This is not an address of the web; it looks like https://name.example/path.")
	}
	if u.User != nil || strings.Contains(address, "#") {
		return nil, errors.New("Leave out a user name, a password and a part after #; a secret is made here.")
	}
	return u, nil
}

// private reports whether a host is private by what is written alone. What a
// name leads to is looked at when it is called.
func (w wall) private(host string) bool {
	if ip, err := netip.ParseAddr(host); err == nil {
		return !w.publicIP(ip)
	}
	name := strings.ToLower(strings.TrimSuffix(host, "."))
	return name == "localhost" || strings.HasSuffix(name, ".localhost")
}

// newWall lets calls go to public addresses on the usual ports, and to the
// hosts named.
func newWall(hosts []string) (wall, error) {
	w := wall{closed: closed(), ports: []uint16{443, 8443}}
	for _, h := range hosts {
		name, port, err := net.SplitHostPort(h)
		if err != nil || name == "" || port == "" {
			return w, errors.New("a private host to call is given as name:port, as in sms-box.lan:8080")
		}
		w.hosts = append(w.hosts, strings.ToLower(h))
	}
	return w, nil
}
