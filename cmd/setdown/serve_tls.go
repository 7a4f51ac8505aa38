package main

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/base32"
	"encoding/hex"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"log"
	"math/big"
	"net"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"time"
)

const (
	certName = "tls.pem"
	// certYears is how long a certificate holds; certLeft is how much of it must
	// be left, or another one is made.
	certYears = 2
	certLeft  = 30 * 24 * time.Hour
	// shortestPhrase is how many characters a passphrase of one's own must have
	// (common practice, no source).
	shortestPhrase = 12
)

// certificate reads the certificate that was made on first use, or makes one.
// print is the SHA-256 of the certificate, as browsers show it.
func certificate(folder *os.Root, addresses []string, now time.Time) (cert tls.Certificate, print string, err error) {
	data, err := folder.ReadFile(certName)
	if err == nil {
		if cert, err = tls.X509KeyPair(data, data); err == nil && holds(cert, addresses, now) {
			return cert, fingerprint(cert), nil
		}
	} else if !errors.Is(err, fs.ErrNotExist) {
		return cert, "", err
	}
	if data, err = makeCertificate(addresses, now); err != nil {
		return cert, "", err
	}
	if err := folder.WriteFile(certName, data, 0o600); err != nil {
		return cert, "", err
	}
	cert, err = tls.X509KeyPair(data, data)
	return cert, fingerprint(cert), err
}

// holds tells whether a certificate is still good for all addresses.
func holds(cert tls.Certificate, addresses []string, now time.Time) bool {
	for _, a := range addresses {
		if cert.Leaf.VerifyHostname(a) != nil {
			return false
		}
	}
	return now.After(cert.Leaf.NotBefore) && now.Add(certLeft).Before(cert.Leaf.NotAfter)
}

func makeCertificate(addresses []string, now time.Time) ([]byte, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return nil, err
	}
	t := &x509.Certificate{SerialNumber: serial, Subject: pkix.Name{CommonName: "setdown on this network"}, NotBefore: now.Add(-time.Hour),
		NotAfter: now.AddDate(certYears, 0, 0), KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true}
	for _, a := range addresses {
		if ip := net.ParseIP(a); ip != nil {
			t.IPAddresses = append(t.IPAddresses, ip)
		} else {
			t.DNSNames = append(t.DNSNames, a)
		}
	}
	der, err := x509.CreateCertificate(rand.Reader, t, t, key.Public(), key)
	if err != nil {
		return nil, err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	err = errors.Join(pem.Encode(&out, &pem.Block{Type: "CERTIFICATE", Bytes: der}), pem.Encode(&out, &pem.Block{Type: "PRIVATE KEY", Bytes: secret}))
	return out.Bytes(), err
}

func fingerprint(cert tls.Certificate) string {
	if len(cert.Certificate) == 0 {
		return ""
	}
	sum := sha256.Sum256(cert.Certificate[0])
	text := strings.ToUpper(hex.EncodeToString(sum[:]))
	var pairs []string
	for i := 0; i < len(text); i += 2 {
		pairs = append(pairs, text[i:i+2])
	}
	return strings.Join(pairs, ":")
}

// passphrase reads the first line of a file, or makes a phrase of 100 random
// bits for this run.
func passphrase(file string) (phrase string, made bool, err error) {
	if file == "" {
		b := make([]byte, 13)
		if _, err := rand.Read(b); err != nil {
			return "", false, err
		}
		text := strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b))[:20]
		return text[:5] + "-" + text[5:10] + "-" + text[10:15] + "-" + text[15:], true, nil
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return "", false, err
	}
	line, _, _ := strings.Cut(string(data), "\n")
	line = strings.TrimSpace(line)
	if len([]rune(line)) < shortestPhrase {
		return "", false, &usageError{fmt.Sprintf("the passphrase in %s has fewer than %d characters", file, shortestPhrase), "take several words, or leave --passphrase-file out to have one made"}
	}
	return line, false, nil
}

// addressesOf lists the addresses that a browser may use: the one given, or all
// of this computer where it stands for all.
func addressesOf(host string) ([]string, error) {
	ip := net.ParseIP(host)
	if host != "" && !ip.IsUnspecified() {
		return []string{ip.String()}, nil
	}
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil, err
	}
	var out []string
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok && !n.IP.IsLinkLocalUnicast() {
			out = append(out, n.IP.String())
		}
	}
	if name, err := os.Hostname(); err == nil {
		out = append(out, strings.ToLower(name))
	}
	return out, nil
}

// quietLog hands the server's own messages on, without those that any browser
// causes which does not know the certificate yet.
func quietLog(write func(string)) *log.Logger {
	return log.New(lineWriter(func(line string) {
		if !strings.Contains(line, "TLS handshake error") {
			write(line)
		}
	}), "", 0)
}

// lineWriter is a function as a writer.
type lineWriter func(string)

func (f lineWriter) Write(p []byte) (int, error) {
	f(strings.TrimRight(string(p), "\n"))
	return len(p), nil
}

// openAddress opens a page of the server in the browser.
func openAddress(ctx context.Context, address string) error {
	opener := map[string][]string{
		"darwin":  {"open"},
		"windows": {"rundll32", "url.dll,FileProtocolHandler"},
	}[runtime.GOOS]
	if opener == nil {
		opener = []string{"xdg-open"}
	}
	return exec.CommandContext(ctx, opener[0], append(opener[1:], address)...).Start()
}
