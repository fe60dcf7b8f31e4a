package main

import (
	"context"
	"crypto/tls"
	"fmt"
	"io"
	"net"
	"net/http"
	"time"
)

type healthCommand struct {
	Listen string `help:"Where the server listens." env:"BENCHTAG_LISTEN" default:"127.0.0.1:8080"`
	TLS    bool   `help:"The server speaks TLS itself." env:"BENCHTAG_HEALTH_TLS"`
}

const healthTimeout = 3 * time.Second

// ownServer asks the server beside it. Its certificate names the address
// customers use, not this machine's, so that it is not held against that; the
// question carries no secret, and the answer is only yes or no.
func ownServer() *http.Client {
	return &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}}}
}

// Run asks /livez.
func (c healthCommand) Run(ctx context.Context, to outputs) error {
	host, port, err := net.SplitHostPort(c.Listen)
	if err != nil {
		return badAddress(c.Listen)
	}
	if ip := net.ParseIP(host); host == "" || (ip != nil && ip.IsUnspecified()) {
		host = "127.0.0.1"
	}
	scheme := "http"
	if c.TLS {
		scheme = "https"
	}
	ctx, cancel := context.WithTimeout(ctx, healthTimeout)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, scheme+"://"+net.JoinHostPort(host, port)+"/livez", nil)
	if err != nil {
		return err
	}
	res, err := ownServer().Do(req)
	if err != nil {
		return fmt.Errorf("no server answers on %s: %w", c.Listen, err)
	}
	defer func() { _ = res.Body.Close() }()
	body, err := io.ReadAll(io.LimitReader(res.Body, 100))
	if err != nil || res.StatusCode != http.StatusOK {
		return fmt.Errorf("the server answered %d", res.StatusCode)
	}
	_, err = to.out.Write(body)
	return err
}
