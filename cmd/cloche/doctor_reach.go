package main

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"strings"
	"syscall"
	"time"
)

const (
	readyWithin = 5 * time.Second
	// certificateLow is how long before its end a certificate should have been renewed: those
	// that renew themselves do so a month before (common practice, no source).
	certificateLow = 14 * 24 * time.Hour
)

// checkAddress asks the running service whether it can keep answers, at the address that
// phones use; and looks at how it answered.
func checkAddress(ctx context.Context, address string, now time.Time) []checkup {
	if address == "" {
		return []checkup{{what: "address", found: "none is named, so it was not tried",
			todo: "name the address on the guests' cards with --url"}}
	}
	const write = "write it as https://taste.example.org"
	base, err := url.Parse(address)
	if err != nil || base.Host == "" {
		return []checkup{{"address", fmt.Sprintf("%q is no address", address), write, true}}
	}
	at := base.JoinPath("readyz").String()
	answer, said, err := ask(ctx, at)
	if err != nil {
		return []checkup{unreached(err)}
	}
	if answer.StatusCode != http.StatusOK {
		return []checkup{{"address", fmt.Sprintf("%s answers %s", at, answer.Status),
			"look into the service's log: it cannot keep answers now, or something else answers there", true}}
	}
	all := []checkup{{what: "address", found: address + " answers by HTTPS"}}
	if !strings.EqualFold(base.Scheme, "https") {
		all[0] = checkup{what: "address", found: address + " answers, without HTTPS",
			todo: "with HTTPS phones go on when the network is gone; without it a page that is open keeps what is " +
				"typed"}
	}
	if answer.TLS != nil {
		all = append(all, checkCertificate(answer.TLS.PeerCertificates[0], now))
	}
	return append(all, checkProxy(said, answer.TLS != nil))
}

// ask sends one request and returns the answer with its text.
func ask(ctx context.Context, address string) (*http.Response, string, error) {
	ctx, stop := context.WithTimeout(ctx, readyWithin)
	defer stop()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
	if err != nil {
		return nil, "", err
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		return nil, "", err
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(io.LimitReader(answer.Body, 1<<10))
	return answer, string(text), err
}

// unreached says why an address was not reached.
func unreached(err error) checkup {
	var untrusted *tls.CertificateVerificationError
	if errors.As(err, &untrusted) {
		return checkup{"certificate", untrusted.Err.Error(),
			"phones will not open this address: get a certificate from an authority that phones trust", true}
	}
	return checkup{"address", err.Error(), "start the service, and try the address on a phone in the room", true}
}

// checkCertificate tells how long a certificate lasts.
func checkCertificate(c *x509.Certificate, now time.Time) checkup {
	found := "good until " + c.NotAfter.In(now.Location()).Format("2 January 2006")
	if c.NotAfter.Sub(now) < certificateLow {
		return checkup{what: "certificate", found: found,
			todo: "renew it, or find out why the proxy did not: when it ends phones open nothing"}
	}
	return checkup{what: "certificate", found: found}
}

// checkProxy reads in what the service said whether the address of who asks arrives.
func checkProxy(said string, byTLS bool) checkup {
	_, proxy, _ := strings.Cut(said, "proxy: ")
	switch proxy = strings.TrimSpace(proxy); {
	case proxy == "believed":
		return checkup{what: "proxy", found: "the address of who asks arrives through it"}
	case proxy == "not listed":
		return checkup{what: "proxy", found: "one stands in front that the service was not told of",
			todo: "start the service with --proxies set to its address: now all phones seem to have one address"}
	case proxy == "none" && byTLS, proxy == "silent":
		return checkup{what: "proxy", found: "one stands in front that does not say for whom it asks",
			todo: "have it send X-Forwarded-For, and name it with --proxies: now all phones seem to have one address"}
	case proxy == "none":
		return checkup{what: "proxy", found: "none stands in front"}
	}
	return checkup{what: "proxy", found: "the service did not say what stands in front",
		todo: "look whether it is of this version"}
}

// checkPort finds out whether the service listens where it should, or could.
func checkPort(ctx context.Context, listen string) checkup {
	l, err := net.Listen("tcp", listen)
	if err == nil {
		if err = l.Close(); err == nil {
			return checkup{what: "port", found: listen + " is free: the service does not run there, and can"}
		}
	}
	if !errors.Is(err, syscall.EADDRINUSE) {
		return checkup{"port", err.Error(), "name another with --listen", true}
	}
	host, port, _ := net.SplitHostPort(listen)
	if host == "" || net.ParseIP(host).IsUnspecified() {
		host = "127.0.0.1"
	}
	_, said, err := ask(ctx, "http://"+net.JoinHostPort(host, port)+"/readyz")
	if err == nil && strings.HasPrefix(said, "ready") {
		return checkup{what: "port", found: "the service listens on " + listen}
	}
	return checkup{"port", "something else than a service that can keep answers listens on " + listen,
		"end it, or name another port with --listen", true}
}
