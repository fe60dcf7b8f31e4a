package notify

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strconv"
	"time"

	"benchtag/internal/app"
)

const (
	callWithin = 10 * time.Second
	maxAnswer  = 64 << 10 // read and thrown away, so that the connection ends well
	maxBody    = 20 << 10
)

// HookOptions say where webhooks may be called and with what.
type HookOptions struct {
	// PrivateHosts are hosts of one's own network, as name:port, that shops
	// may call although they are not public, and over plain HTTP.
	PrivateHosts []string
	// Roots are the authorities trusted; nil are the system's.
	Roots *x509.CertPool
	// Resolver looks names up; nil is the system's.
	Resolver *net.Resolver
	// Now is the clock.
	Now func() time.Time
}

// Hooks calls webhooks. It follows no redirect, takes no proxy from the
// environment, and connects to public addresses alone.
type Hooks struct {
	wall          wall
	public, named *http.Client
	now           func() time.Time
}

var _ app.Hooks = (*Hooks)(nil)

// NewHooks checks the options.
func NewHooks(opt HookOptions) (*Hooks, error) {
	w, err := newWall(opt.PrivateHosts)
	if err != nil {
		return nil, err
	}
	now := opt.Now
	if now == nil {
		now = time.Now
	}
	return &Hooks{wall: w, now: now,
		public: client(&net.Dialer{Timeout: callWithin, Control: w.control, Resolver: opt.Resolver}, opt.Roots),
		named:  client(&net.Dialer{Timeout: callWithin, Resolver: opt.Resolver}, opt.Roots),
	}, nil
}

func client(d *net.Dialer, roots *x509.CertPool) *http.Client {
	return &http.Client{
		Timeout: callWithin,
		Transport: &http.Transport{
			Proxy: nil, DialContext: d.DialContext, DisableKeepAlives: true, DisableCompression: true,
			TLSClientConfig:     &tls.Config{MinVersion: tls.VersionTLS12, RootCAs: roots},
			TLSHandshakeTimeout: callWithin, ResponseHeaderTimeout: callWithin, MaxResponseHeaderBytes: maxAnswer,
		},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
}

// Check refuses an address that may not be called.
func (h *Hooks) Check(address string) error {
	_, _, err := h.wall.check(address)
	return err
}

// Call makes one call. The same id is sent at every try, so that the other
// end can know a call it has had.
func (h *Hooks) Call(ctx context.Context, call app.HookCall) app.Delivery {
	address, named, err := h.wall.check(call.URL)
	if err != nil {
		return refused("The address of the webhook may not be called from here. Change it in the settings.")
	}
	if len(call.Body) > maxBody {
		return refused("The call was too large to be sent.")
	}
	at := h.now()
	signature, err := Sign(call.ID, at, call.Body, call.Secrets...)
	if err != nil {
		return refused("The call could not be signed. Set the webhook's secret anew.")
	}
	ctx, cancel := context.WithTimeout(ctx, callWithin)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, address.String(), bytes.NewReader(call.Body))
	if err != nil {
		return refused("The address of the webhook cannot be called. Change it in the settings.")
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("User-Agent", "benchtag")
	req.Header[HeaderID], req.Header[HeaderTimestamp] = []string{call.ID}, []string{strconv.FormatInt(at.Unix(), 10)}
	req.Header[HeaderSignature] = []string{signature}
	by := h.public
	if named {
		by = h.named
	}
	res, err := by.Do(req)
	if err != nil {
		return unreached(err)
	}
	defer func() { _ = res.Body.Close() }()
	_, _ = io.Copy(io.Discard, io.LimitReader(res.Body, maxAnswer))
	return answered(res.StatusCode)
}

func refused(words string) app.Delivery { return app.Delivery{Result: app.Refused, Words: words} }

// unreached says why no answer came, and nothing that the other end or its
// name server said.
func unreached(err error) app.Delivery {
	var name *net.DNSError
	var timed net.Error
	var cert *tls.CertificateVerificationError
	words := "The webhook could not be reached."
	switch {
	case errors.Is(err, errWalled):
		words = "The name of the webhook leads into a private network, which this server does not call."
	case errors.As(err, &name):
		words = "The name of the webhook is not known."
	case errors.As(err, &cert):
		words = "The webhook's certificate is not valid."
	case errors.As(err, &timed) && timed.Timeout():
		words = "The webhook did not answer within ten seconds."
	}
	return app.Delivery{Result: app.Later, Words: words}
}

// answered judges the status of an answer (Standard Webhooks, "Operational
// considerations"): 2xx is taken, 410 is gone, all else is a failure, a
// redirect too.
func answered(status int) app.Delivery {
	switch {
	case status >= 200 && status < 300:
		return app.Delivery{Result: app.Accepted}
	case status == http.StatusGone:
		return app.Delivery{Result: app.Gone, Words: "The webhook answered 410, gone for good, and was switched off."}
	case status >= 300 && status < 400:
		return app.Delivery{Result: app.Later, Words: fmt.Sprintf("The webhook sent us elsewhere (%d), which is not followed. Put the new address into the settings.", status)}
	}
	return app.Delivery{Result: app.Later, Words: fmt.Sprintf("The webhook answered %d.", status)}
}
