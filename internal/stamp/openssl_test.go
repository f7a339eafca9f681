package stamp_test

import (
	"encoding/pem"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"cloche/internal/stamp"
	"cloche/internal/stamp/stamptest"
)

// openssl runs a command of OpenSSL in a folder.
func openssl(t *testing.T, dir string, args ...string) string {
	t.Helper()
	cmd := exec.Command("openssl", args...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("openssl %s: %v\n%s", strings.Join(args, " "), err, out)
	}
	return string(out)
}

func needOpenSSL(t *testing.T) {
	t.Helper()
	if _, err := exec.LookPath("openssl"); err == nil {
		return
	}
	if os.Getenv("CLOCHE_REQUIRE_ALL") != "" {
		t.Fatal("openssl is not installed")
	}
	t.Skip("openssl is not installed")
}

// authorityConf is an authority of OpenSSL, with the digests, the fractions of a second and the
// identifier of its certificate that vary.
const authorityConf = `
[tsa]
default_tsa = here
[here]
dir = .
serial = serial
signer_cert = tsa.pem
certs = root.pem
signer_key = tsa.key
signer_digest = DIGEST
default_policy = 1.2.3.4.1
digests = sha256
accuracy = secs:1
clock_precision_digits = FRACTION
ess_cert_id_chain = CHAIN
ess_cert_id_alg = NAMED
[uses]
extendedKeyUsage = critical,timeStamping
`

// TestOpenSSLAnswersOurRequest has our requests stamped by OpenSSL, with RSA and elliptic
// curves, certificates named by SHA-1 (RFC 3161), SHA-256 and SHA-512 (RFC 5816).
func TestOpenSSLAnswersOurRequest(t *testing.T) {
	needOpenSSL(t)
	for _, tc := range []struct{ key, digest, fraction, chain, named string }{
		{"rsa:2048", "sha256", "0", "no", "sha1"},
		{"rsa:2048", "sha512", "3", "yes", "sha256"},
		{"ec", "sha384", "0", "yes", "sha512"},
	} {
		dir := t.TempDir()
		conf := strings.NewReplacer("DIGEST", tc.digest, "FRACTION", tc.fraction, "CHAIN", tc.chain, "NAMED", tc.named).
			Replace(authorityConf)
		write(t, dir, "tsa.cnf", []byte(conf))
		write(t, dir, "serial", []byte("01\n"))
		kind := []string{"-newkey", tc.key}
		if tc.key == "ec" {
			kind = append(kind, "-pkeyopt", "ec_paramgen_curve:P-256")
		}
		openssl(t, dir, append([]string{"req", "-x509", "-nodes", "-keyout", "root.key", "-out", "root.pem", "-days",
			"9", "-subj", "/CN=Invented Root"}, kind...)...)
		openssl(t, dir, append([]string{"req", "-nodes", "-keyout", "tsa.key", "-out", "tsa.csr", "-subj",
			"/O=The Invented Office/CN=Invented Time Stamps"}, kind...)...)
		openssl(t, dir, "x509", "-req", "-in", "tsa.csr", "-CA", "root.pem", "-CAkey", "root.key", "-CAcreateserial",
			"-days", "9", "-extfile", "tsa.cnf", "-extensions", "uses", "-out", "tsa.pem")
		asked := request(t, "a plan", 0x1234567890abcdef)
		write(t, dir, "plan", []byte("a plan"))
		write(t, dir, "plan.tsq", asked)
		if says := openssl(t, dir, "ts", "-query", "-in", "plan.tsq", "-text"); !strings.Contains(says, "sha256") ||
			!strings.Contains(says, "Nonce: 0x1234567890ABCDEF") ||
			!strings.Contains(says, "Certificate required: yes") {
			t.Errorf("OpenSSL reads our request as\n%s", says)
		}
		openssl(t, dir, "ts", "-reply", "-config", "tsa.cnf", "-queryfile", "plan.tsq", "-out", "plan.tsr")
		answer, err := os.ReadFile(filepath.Join(dir, "plan.tsr"))
		if err != nil {
			t.Fatal(err)
		}
		got, err := stamp.Check(asked, answer)
		if err != nil || got.Authority != stamptest.Name || got.Issuer != "Invented Root" ||
			time.Since(got.At).Abs() > time.Minute {
			t.Fatalf("%+v: %+v, %v", tc, got, err)
		}
		printed := openssl(t, dir, "x509", "-in", "tsa.pem", "-noout", "-fingerprint", "-sha256")
		_, print, _ := strings.Cut(strings.TrimSpace(printed), "=")
		if strings.ToLower(strings.ReplaceAll(print, ":", "")) != got.Fingerprint {
			t.Errorf("the fingerprint is %s, of OpenSSL %s", got.Fingerprint, print)
		}
		verify(t, dir)
	}
}

// TestOpenSSLChecksWhatWeTake has an answer of our tests' authority checked by OpenSSL.
func TestOpenSSLChecksWhatWeTake(t *testing.T) {
	needOpenSSL(t)
	dir, now := t.TempDir(), time.Now()
	a, asked := stamptest.New(t, now, nil), request(t, "a plan", 7)
	write(t, dir, "plan", []byte("a plan"))
	write(t, dir, "plan.tsq", asked)
	write(t, dir, "plan.tsr", a.Answer(asked, now, nil))
	write(t, dir, "root.pem", pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: a.Root.Raw}))
	verify(t, dir)
}

// verify has OpenSSL hold the answer to the request and to what was stamped.
func verify(t *testing.T, dir string) {
	t.Helper()
	for _, of := range [][]string{{"-queryfile", "plan.tsq"}, {"-data", "plan"}} {
		says := openssl(t, dir, append([]string{"ts", "-verify", "-in", "plan.tsr", "-CAfile", "root.pem"}, of...)...)
		if !strings.Contains(says, "Verification: OK") {
			t.Errorf("OpenSSL says %s", says)
		}
	}
}

func write(t *testing.T, dir, name string, b []byte) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), b, 0o600); err != nil {
		t.Fatal(err)
	}
}
