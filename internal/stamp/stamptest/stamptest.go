// Package stamptest is an authority for time stamps, made anew in each test: a root, a
// certificate for time stamps that it issued, and the answers that this signs.
package stamptest

import (
	"crypto"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/asn1"
	"math/big"
	"testing"
	"time"

	"github.com/digitorus/timestamp"
)

// Authority signs time stamps.
type Authority struct {
	t    testing.TB
	Root *x509.Certificate
	Cert *x509.Certificate
	Key  *ecdsa.PrivateKey
}

// Name is what the certificate of an authority says it is.
const Name = "Invented Time Stamps, The Invented Office"

// forStampsAlone is the extended key usage as RFC 3161 (2.3) wants it: time stamps, critical.
var forStampsAlone = pkix.Extension{Id: asn1.ObjectIdentifier{2, 5, 29, 37}, Critical: true,
	Value: []byte{0x30, 0x0a, 0x06, 0x08, 0x2b, 0x06, 0x01, 0x05, 0x05, 0x07, 0x03, 0x08}}

// valid is for how many years its certificates are valid before and after a moment. Whoever
// signs notes the real time beside that of the stamp, and both have to be in it.
const valid = 100

// New makes an authority whose certificates are valid around at; change may spoil the one for
// time stamps before it is issued, nil leaves it as it is.
func New(t testing.TB, at time.Time, change func(*x509.Certificate)) *Authority {
	t.Helper()
	rootKey, key := newKey(t), newKey(t)
	root := &x509.Certificate{SerialNumber: big.NewInt(1), NotBefore: at.AddDate(-valid, 0, 0),
		NotAfter: at.AddDate(valid, 0, 0), Subject: pkix.Name{CommonName: "Invented Root"}, IsCA: true,
		BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign}
	cert := &x509.Certificate{SerialNumber: big.NewInt(2), NotBefore: root.NotBefore, NotAfter: root.NotAfter,
		Subject:  pkix.Name{CommonName: "Invented Time Stamps", Organization: []string{"The Invented Office"}},
		KeyUsage: x509.KeyUsageDigitalSignature, ExtraExtensions: []pkix.Extension{forStampsAlone}}
	if change != nil {
		change(cert)
	}
	a := &Authority{t: t, Key: key}
	a.Root = a.issue(root, root, rootKey.Public(), rootKey)
	a.Cert = a.issue(cert, a.Root, key.Public(), rootKey)
	return a
}

func newKey(t testing.TB) *ecdsa.PrivateKey {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	return key
}

func (a *Authority) issue(c, by *x509.Certificate, of crypto.PublicKey, key crypto.Signer) *x509.Certificate {
	a.t.Helper()
	der, err := x509.CreateCertificate(rand.Reader, c, by, of, key)
	if err != nil {
		a.t.Fatal(err)
	}
	made, err := x509.ParseCertificate(der)
	if err != nil {
		a.t.Fatal(err)
	}
	return made
}

// Answer stamps what a request asks for as of at; change may spoil the stamp before it is
// signed, nil leaves it as it is.
func (a *Authority) Answer(request []byte, at time.Time, change func(*timestamp.Timestamp)) []byte {
	a.t.Helper()
	asked, err := timestamp.ParseRequest(request)
	if err != nil {
		a.t.Fatal(err)
	}
	stamp := &timestamp.Timestamp{HashAlgorithm: asked.HashAlgorithm, HashedMessage: asked.HashedMessage,
		Time: at.UTC().Truncate(time.Second), Nonce: asked.Nonce, Policy: asn1.ObjectIdentifier{1, 2, 3, 4, 1},
		Accuracy: time.Second, AddTSACertificate: asked.Certificates}
	if change != nil {
		change(stamp)
	}
	answer, err := stamp.CreateResponseWithOpts(a.Cert, a.Key, crypto.SHA256)
	if err != nil {
		a.t.Fatal(err)
	}
	return answer
}
