package stamp_test

import (
	"bytes"
	"crypto"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/hex"
	"errors"
	"math/big"
	"strings"
	"testing"
	"time"

	"github.com/digitorus/timestamp"

	"cloche/internal/stamp"
	"cloche/internal/stamp/stamptest"
)

var noon = time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)

func request(t testing.TB, what string, nonce int64) []byte {
	t.Helper()
	b, err := stamp.Request(sha256.Sum256([]byte(what)), big.NewInt(nonce))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestAStampThatAnswersItsRequest(t *testing.T) {
	a := stamptest.New(t, noon, nil)
	asked := request(t, "a plan", 7)
	got, err := stamp.Check(asked, a.Answer(asked, noon, nil))
	sum := sha256.Sum256(a.Cert.Raw)
	want := stamp.Stamp{At: noon, Accuracy: time.Second, Authority: stamptest.Name, Issuer: "Invented Root",
		Fingerprint: hex.EncodeToString(sum[:])}
	if err != nil || got != want {
		t.Errorf("%+v, %v, want %+v", got, err, want)
	}
	if _, err := stamp.Request(sha256.Sum256(nil), big.NewInt(0)); err == nil {
		t.Error("a request was made without a nonce")
	}
}

// TestAnswersThatAreRefused spoils one thing at a time.
func TestAnswersThatAreRefused(t *testing.T) {
	sound, asked := stamptest.New(t, noon, nil), request(t, "a plan", 7)
	answer := sound.Answer(asked, noon, nil)
	of := func(change func(*x509.Certificate)) []byte {
		return stamptest.New(t, noon, change).Answer(asked, noon, nil)
	}
	uses := func(critical bool, also ...x509.ExtKeyUsage) func(*x509.Certificate) {
		return func(c *x509.Certificate) {
			c.ExtraExtensions = nil
			c.ExtKeyUsage = append([]x509.ExtKeyUsage{x509.ExtKeyUsageTimeStamping}, also...)
			if critical {
				c.ExtKeyUsage = also
			}
		}
	}
	spoilt := func(at int) []byte { // counted from the end: the signature; in the middle: what was signed
		b := bytes.Clone(answer)
		b[at] ^= 1
		return b
	}
	stampedAt := bytes.Index(answer, []byte("20260304120000Z"))
	rejected, err := timestamp.CreateErrorResponse(timestamp.Rejection, timestamp.BadRequest)
	if err != nil {
		t.Fatal(err)
	}
	otherKey := *sound
	if otherKey.Key, err = ecdsa.GenerateKey(elliptic.P256(), rand.Reader); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name   string
		answer []byte
		want   string
	}{
		{"nothing", nil, "no answer to a time stamp request"},
		{"the request", asked, "the request file"},
		{"a web page", []byte("\n<!doctype html>"), "a web page"},
		{"a text", []byte("granted"), "no answer to a time stamp request"},
		{"too large", make([]byte, stamp.MaxAnswer+1), "larger than any answer, 64 KiB"},
		{"something behind it", append(bytes.Clone(answer), 0), "no answer to a time stamp request"},
		{"cut short", answer[:len(answer)-9], "no answer to a time stamp request"},
		{"not granted", rejected, "did not grant it (status 2"},
		{"granted, and empty", []byte{0x30, 0x05, 0x30, 0x03, 0x02, 0x01, 0x00}, "sent no stamp"},
		{"another hash", sound.Answer(request(t, "another plan", 7), noon, nil), "stamps something else"},
		{"another kind of hash", sound.Answer(asked, noon, func(s *timestamp.Timestamp) {
			s.HashAlgorithm = crypto.SHA512
		}), "stamps something else"},
		{"another number", sound.Answer(request(t, "a plan", 8), noon, nil), "answers another request"},
		{"no number", sound.Answer(asked, noon, func(s *timestamp.Timestamp) { s.Nonce = nil }),
			"answers another request"},
		{"no certificate", sound.Answer(asked, noon, func(s *timestamp.Timestamp) { s.AddTSACertificate = false }),
			"the certificate of the one who signed is not in it"},
		{"a signature that was changed", spoilt(len(answer) - 1), "signature does not hold"},
		{"a time that was changed", spoilt(stampedAt + 3), "signature does not hold"},
		{"signed with another key", otherKey.Answer(asked, noon, nil), "signature does not hold"},
		{"a certificate for something else", of(func(c *x509.Certificate) {
			c.ExtraExtensions, c.ExtKeyUsage = nil, []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}
		}), "not one for time stamps alone"},
		{"a certificate that says not what for", of(func(c *x509.Certificate) { c.ExtraExtensions = nil }),
			"not one for time stamps alone"},
		{"a certificate for more", of(uses(false, x509.ExtKeyUsageCodeSigning)), "not one for time stamps alone"},
		{"a use that may be overlooked", of(uses(false)), "not one for time stamps alone"},
		{"a certificate that had ended", sound.Answer(asked, noon.AddDate(200, 0, 0), nil),
			"valid from 1926-03-04 12:00:00 UTC to 2126-03-04 12:00:00 UTC, and the stamp is of 2226-03-04 12:00:00"},
		{"a certificate that had not begun", sound.Answer(asked, noon.AddDate(-200, 0, 0), nil),
			"and the stamp is of 1826"},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			got, err := stamp.Check(asked, tc.answer)
			var refused *stamp.Refusal
			if !errors.As(err, &refused) || !strings.Contains(refused.Error(), tc.want) || refused.Instead == "" {
				t.Errorf("%+v, %v, want a refusal with %q", got, err, tc.want)
			}
		})
	}
}

// TestWhoIsNamed reads the names that certificates have.
func TestWhoIsNamed(t *testing.T) {
	asked := request(t, "a plan", 7)
	for _, tc := range []struct {
		subject pkix.Name
		want    string
	}{
		{pkix.Name{CommonName: "A  Clock\n", Organization: []string{"A Clock", "B"}}, "A Clock, B"},
		{pkix.Name{Country: []string{"CH"}}, "C=CH"},
	} {
		a := stamptest.New(t, noon, func(c *x509.Certificate) { c.Subject = tc.subject })
		if got, err := stamp.Check(asked, a.Answer(asked, noon, nil)); err != nil || got.Authority != tc.want {
			t.Errorf("%v is “%s”, %v, want “%s”", tc.subject, got.Authority, err, tc.want)
		}
	}
}

// FuzzCheck changes an answer: it is refused, or says what the one says that was signed.
func FuzzCheck(f *testing.F) {
	a, asked := stamptest.New(f, noon, nil), request(f, "a plan", 7)
	sound := a.Answer(asked, noon, nil)
	want, err := stamp.Check(asked, sound)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(0, []byte{})
	f.Add(40, []byte{0x30, 0x80})
	f.Add(len(sound)-4, []byte{0, 0})
	f.Fuzz(func(t *testing.T, at int, put []byte) {
		b := bytes.Clone(sound)
		if at >= 0 && at < len(b) {
			copy(b[at:], put)
		}
		got, err := stamp.Check(asked, b)
		var refused *stamp.Refusal
		if err == nil && got != want || err != nil && !errors.As(err, &refused) {
			t.Errorf("%+v, %v", got, err)
		}
	})
}
