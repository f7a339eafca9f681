package stamp

import (
	"bytes"
	"crypto"
	"crypto/sha1" // older stamps name the certificate by it, beside the signature
	"crypto/sha256"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/asn1"
	"encoding/hex"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"github.com/digitorus/pkcs7"
	"github.com/digitorus/timestamp"
)

// MaxAnswer is the largest answer that is looked at, in bytes. Those of authorities have 2 to 8
// KiB, most of it certificates.
const MaxAnswer = 64 << 10

// Stamp is what an answer says that was checked.
type Stamp struct {
	At          time.Time     // by the authority's clock
	Accuracy    time.Duration // how far that may be off, as it says itself; 0 = not said
	Authority   string        // the subject of the certificate that signed
	Issuer      string        // who issued that certificate
	Fingerprint string        // SHA-256 of the certificate, in hexadecimal
}

// Refusal says why an answer is not taken, and what to do: texts in English, the first with verbs of package
// fmt for its values.
type Refusal struct {
	What    string
	Values  []any
	Instead string
}

func (r *Refusal) Error() string { return fmt.Sprintf(r.What, r.Values...) + "; " + r.Instead }

// What to do about an answer that is not taken.
const (
	downloadAgain = "download the answer again, and choose that file as it is"
	stampAgain    = "have the request file stamped again, and choose that answer"
	elsewhere     = "have the request file stamped by another authority"
)

func refuse(instead, what string, args ...any) (Stamp, error) {
	return Stamp{}, &Refusal{what, args, instead}
}

// Request makes the request for a stamp of a SHA-256, in DER. nonce is drawn at random by the
// caller; it is positive. The answer is to carry the authority's certificate.
func Request(sum [sha256.Size]byte, nonce *big.Int) ([]byte, error) {
	if nonce.Sign() <= 0 {
		return nil, fmt.Errorf("request a time stamp: the nonce %s is not positive", nonce)
	}
	asked := timestamp.Request{HashAlgorithm: crypto.SHA256, HashedMessage: sum[:], Certificates: true, Nonce: nonce}
	b, err := asked.Marshal()
	if err != nil {
		return nil, fmt.Errorf("request a time stamp: %w", err)
	}
	return b, nil
}

// The parts of an answer (RFC 3161, 2.4.2) that are read here; what it says in words may be in
// any kind of string.
type response struct {
	Status struct {
		Status int
		Words  asn1.RawValue  `asn1:"optional"`
		Fail   asn1.BitString `asn1:"optional"`
	}
	Token asn1.RawValue `asn1:"optional"`
}

// Check holds an answer to its request and returns what it says. Errors: [*Refusal].
func Check(request, answer []byte) (Stamp, error) {
	asked, err := timestamp.ParseRequest(request)
	if err != nil {
		return refuse("ask for a new request file", "the request that was kept cannot be read: %v", err)
	}
	token, err := granted(request, answer)
	if err != nil {
		return Stamp{}, err
	}
	said, err := timestamp.Parse(token)
	if err != nil {
		return refuse(downloadAgain, "its signature does not hold, or it is damaged: %v", err)
	}
	switch {
	case said.HashAlgorithm != asked.HashAlgorithm || !bytes.Equal(said.HashedMessage, asked.HashedMessage):
		return refuse("send the request file of this study, and choose the answer to it",
			"it stamps something else than this plan")
	case said.Nonce == nil || said.Nonce.Cmp(asked.Nonce) != 0:
		return refuse("choose the answer to the request file that stands here",
			"it answers another request: its number is not that of this one")
	}
	signer, err := signedBy(token)
	if err != nil {
		return Stamp{}, err
	}
	if said.Time.Before(signer.NotBefore) || said.Time.After(signer.NotAfter) {
		return refuse(elsewhere, "the authority’s certificate is valid from %s to %s, and the stamp is of %s",
			instant(signer.NotBefore), instant(signer.NotAfter), instant(said.Time))
	}
	sum := sha256.Sum256(signer.Raw)
	return Stamp{At: said.Time.UTC(), Accuracy: said.Accuracy, Authority: named(signer.Subject),
		Issuer: named(signer.Issuer), Fingerprint: hex.EncodeToString(sum[:])}, nil
}

func instant(t time.Time) string { return t.UTC().Format("2006-01-02 15:04:05 UTC") }

// granted returns the stamp in an answer.
func granted(request, answer []byte) ([]byte, error) {
	no := func(instead, what string, args ...any) ([]byte, error) {
		_, err := refuse(instead, what, args...)
		return nil, err
	}
	switch {
	case len(answer) > MaxAnswer:
		return no("choose the answer of the authority (.tsr), which is a few KiB",
			"the file is larger than any answer, %d KiB", MaxAnswer>>10)
	case bytes.Equal(answer, request):
		return no("have it stamped, and choose the answer (.tsr)", "this is the request file, not the answer to it")
	case bytes.HasPrefix(bytes.TrimSpace(answer), []byte("<")):
		return no("send the request file itself (content type application/timestamp-query), and keep what comes back",
			"this is a web page, not an answer")
	}
	var r response
	if rest, err := asn1.Unmarshal(answer, &r); err != nil || len(rest) > 0 {
		return no("choose the file that the authority sent back (.tsr), as it is",
			"this is no answer to a time stamp request")
	}
	// 0 is granted; 1, granted with changes, is not what was asked for.
	if r.Status.Status != 0 {
		return no("have the request file stamped by another authority, or ask this one why", "the authority did "+
			"not grant it (status %d%s)", r.Status.Status,
			reasons(r.Status.Words))
	}
	if len(r.Token.FullBytes) == 0 {
		return no(stampAgain, "the authority says that it granted it, and sent no stamp")
	}
	return r.Token.FullBytes, nil
}

// reasons are the words that an authority gave, if any can be read.
func reasons(words asn1.RawValue) string {
	var all []string
	for rest := words.Bytes; len(rest) > 0; {
		var one asn1.RawValue
		var err error
		if rest, err = asn1.Unmarshal(rest, &one); err != nil {
			break
		}
		if text := strings.ToValidUTF8(string(one.Bytes), ""); text != "" && one.Tag == asn1.TagUTF8String {
			all = append(all, text[:min(200, len(text))])
		}
	}
	if len(all) == 0 {
		return ""
	}
	return ": " + strings.ToValidUTF8(strings.Join(all, ", "), "")
}

// Object identifiers of RFC 3161 (2.4.2), RFC 2634 and RFC 5816.
var (
	oidStampInfo  = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 16, 1, 4}
	oidSignedBy   = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 16, 2, 12}
	oidSignedByV2 = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 16, 2, 47}
	oidUses       = asn1.ObjectIdentifier{2, 5, 29, 37}
)

// signedBy returns the certificate of the one signer. The signature was checked.
func signedBy(token []byte) (*x509.Certificate, error) {
	no := func(instead, what string, args ...any) (*x509.Certificate, error) {
		_, err := refuse(instead, what, args...)
		return nil, err
	}
	p, err := pkcs7.Parse(token)
	if err != nil {
		return no(downloadAgain, "it is damaged: %v", err)
	}
	signer := p.GetOnlySigner()
	if signer == nil {
		return no(stampAgain, "the certificate of the one who signed is not in it, although it was asked for")
	}
	var content asn1.ObjectIdentifier
	if err := p.UnmarshalSignedAttribute(pkcs7.OIDAttributeContentType, &content); err != nil ||
		!content.Equal(oidStampInfo) {
		return no(elsewhere, "what was signed is no time stamp")
	}
	if !namesSigner(p, signer) {
		return no(elsewhere, "the signature does not name the certificate that is in it")
	}
	if !forStampsAlone(signer) {
		return no(elsewhere, "the certificate of “%s” is not one for time stamps alone (RFC 3161, 2.3)",
			named(signer.Subject))
	}
	return signer, nil
}

// forStampsAlone reports whether a certificate may sign time stamps and nothing else, and says so
// in a way that nobody may overlook.
func forStampsAlone(c *x509.Certificate) bool {
	if len(c.ExtKeyUsage) != 1 || c.ExtKeyUsage[0] != x509.ExtKeyUsageTimeStamping || len(c.UnknownExtKeyUsage) > 0 {
		return false
	}
	return slices.ContainsFunc(c.Extensions, func(e pkix.Extension) bool { return e.Id.Equal(oidUses) && e.Critical })
}

// certID names a certificate by its hash; ESSCertID has no Algorithm, ESSCertIDv2 has SHA-256
// where it says none.
type certID struct {
	Algorithm pkix.AlgorithmIdentifier `asn1:"optional"`
	Hash      []byte
	Issuer    asn1.RawValue `asn1:"optional"`
}

type signingCertificate struct {
	Certs    []certID
	Policies asn1.RawValue `asn1:"optional"`
}

// hashes are those by which certificates are named.
var hashes = map[string]crypto.Hash{
	pkcs7.OIDDigestAlgorithmSHA256.String(): crypto.SHA256,
	pkcs7.OIDDigestAlgorithmSHA384.String(): crypto.SHA384,
	pkcs7.OIDDigestAlgorithmSHA512.String(): crypto.SHA512,
}

// namesSigner reports whether the signature covers which certificate it is of, so that none of
// the same key can be put in its place.
func namesSigner(p *pkcs7.PKCS7, c *x509.Certificate) bool {
	var by signingCertificate
	if p.UnmarshalSignedAttribute(oidSignedByV2, &by) == nil && len(by.Certs) > 0 {
		h, known := crypto.SHA256, true
		if of := by.Certs[0].Algorithm.Algorithm; len(of) > 0 {
			h, known = hashes[of.String()]
		}
		if !known {
			return false
		}
		sum := h.New()
		sum.Write(c.Raw)
		return bytes.Equal(sum.Sum(nil), by.Certs[0].Hash)
	}
	if p.UnmarshalSignedAttribute(oidSignedBy, &by) == nil && len(by.Certs) > 0 {
		sum := sha1.Sum(c.Raw)
		return bytes.Equal(sum[:], by.Certs[0].Hash)
	}
	return false
}

// named is whom a certificate names: the common name and the organisation, as far as it has them.
func named(n pkix.Name) string {
	var parts []string
	for _, x := range append([]string{n.CommonName}, n.Organization...) {
		if x = strings.Join(strings.Fields(strings.ToValidUTF8(x, "")), " "); x != "" && !slices.Contains(parts, x) {
			parts = append(parts, x)
		}
	}
	if len(parts) == 0 {
		return strings.ToValidUTF8(n.String(), "")
	}
	return strings.Join(parts, ", ")
}
