package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"crypto/tls"
	"encoding/hex"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

// screen is what a running command prints.
type screen struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *screen) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *screen) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// startServe runs the command until the test ends; it must then end well.
func startServe(t *testing.T, args ...string) (address string, out *screen) {
	t.Helper()
	out = &screen{}
	ctx, cancel := context.WithCancel(context.Background())
	c := &console{in: strings.NewReader(""), out: out, err: out}
	cmd := newServeCommand(c)
	cmd.SetArgs(args)
	ended := make(chan error, 1)
	go func() { ended <- cmd.ExecuteContext(ctx) }()
	t.Cleanup(func() {
		cancel()
		require.NoError(t, <-ended)
	})
	page := regexp.MustCompile(`Open this page: (\S+)`)
	for range 500 {
		if m := page.FindStringSubmatch(out.String()); m != nil {
			return m[1], out
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatal("no page was named: " + out.String())
	return "", nil
}

func TestServeListensOnThisComputerOnly(t *testing.T) {
	book := filepath.Join(t.TempDir(), "a.casebook")
	address, _ := startServe(t, "--casebook", book)
	u, err := url.Parse(address)
	require.NoError(t, err)
	require.Equal(t, "http", u.Scheme)
	require.Equal(t, "127.0.0.1", u.Hostname())
	res, err := http.Get(address)
	require.NoError(t, err)
	body, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	require.Contains(t, string(body), "How does each foot come down?")

	others, err := net.InterfaceAddrs()
	require.NoError(t, err)
	for _, a := range others {
		n, ok := a.(*net.IPNet)
		if !ok || n.IP.IsLoopback() || n.IP.IsLinkLocalUnicast() {
			continue
		}
		c, err := net.DialTimeout("tcp", net.JoinHostPort(n.IP.String(), u.Port()), time.Second)
		if err == nil {
			c.Close()
		}
		require.Error(t, err, "%s answers", n.IP)
	}
	info, err := os.Stat(book + "-web")
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o700), info.Mode().Perm(), "the app's folder is its owner's only")
}

func TestListeningForOthersDemandsTLSAndAPassphrase(t *testing.T) {
	book := filepath.Join(t.TempDir(), "a.casebook")
	address, out := startServe(t, "--casebook", book, "--listen", "127.0.0.1:0")
	text := out.String()
	require.True(t, strings.HasPrefix(address, "https://127.0.0.1:"), address)
	for _, said := range []string{"can be reached from other devices", "Every device that can reach", "can see, change and delete all cases", "Fingerprint"} {
		require.Contains(t, text, said)
	}
	print := regexp.MustCompile(`Fingerprint of the certificate \(SHA-256\): (\S+)`).FindStringSubmatch(text)[1]
	phrase := regexp.MustCompile(`Passphrase: (\S+)`).FindStringSubmatch(text)[1]

	host := strings.TrimSuffix(strings.TrimPrefix(address, "https://"), "/")
	plain, err := http.Get("http://" + host + "/")
	require.NoError(t, err)
	require.Equal(t, 400, plain.StatusCode, "nothing is said without TLS")
	require.NoError(t, plain.Body.Close())

	var seen []byte
	var version uint16
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true, VerifyConnection: func(s tls.ConnectionState) error {
			seen, version = s.PeerCertificates[0].Raw, s.Version
			return nil
		}}}}
	res, err := client.Get(address + "cases")
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	require.Equal(t, 303, res.StatusCode)
	require.Equal(t, uint16(tls.VersionTLS13), version)
	sum := sha256.Sum256(seen)
	require.Equal(t, strings.ReplaceAll(print, ":", ""), strings.ToUpper(hex.EncodeToString(sum[:])), "the fingerprint is that of the certificate")

	res, err = client.PostForm(address+"login", url.Values{"passphrase": {phrase}})
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	require.Equal(t, 303, res.StatusCode)
	require.NotEmpty(t, res.Cookies())
}

func TestTheCertificateIsMadeOnce(t *testing.T) {
	root, err := os.OpenRoot(t.TempDir())
	require.NoError(t, err)
	defer root.Close()
	now := time.Date(2026, time.June, 1, 0, 0, 0, 0, time.UTC)
	_, first, err := certificate(root, []string{"192.168.1.20"}, now)
	require.NoError(t, err)
	_, again, err := certificate(root, []string{"192.168.1.20"}, now.AddDate(0, 6, 0))
	require.NoError(t, err)
	require.Equal(t, first, again)
	_, other, err := certificate(root, []string{"192.168.1.21"}, now)
	require.NoError(t, err)
	require.NotEqual(t, first, other, "another address needs another one")
	_, late, err := certificate(root, []string{"192.168.1.21"}, now.AddDate(certYears, 0, 0))
	require.NoError(t, err)
	require.NotEqual(t, other, late, "one that has run out is replaced")
	info, err := root.Stat(certName)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
}

// A phone cannot open the address by which the computer calls itself.
func TestThePhoneIsToldAnAddressThatItCanReach(t *testing.T) {
	require.Equal(t, []string{"https://192.0.2.2:8443/", "https://[fd00::2]:8443/"},
		fromOutside([]string{"127.0.0.1:8443", "192.0.2.2:8443", "[::1]:8443", "[fd00::2]:8443", "localhost:8443", "vm:8443"}))
	require.Empty(t, fromOutside([]string{"127.0.0.1:1"}))
}

func TestServeRefusesWhatIsNoAddressOrTooShortAPhrase(t *testing.T) {
	dir := t.TempDir()
	short := filepath.Join(dir, "phrase")
	require.NoError(t, os.WriteFile(short, []byte("secret\n"), 0o600))
	for _, args := range [][]string{
		{"--listen", "everywhere"}, {"--listen", "example.org:80"}, {"--listen", "127.0.0.1:0", "--passphrase-file", short},
		{"--listen", "127.0.0.1:0", "--passphrase-file", filepath.Join(dir, "none")},
	} {
		c := &console{in: strings.NewReader(""), out: io.Discard, err: io.Discard}
		cmd := newServeCommand(c)
		cmd.SetArgs(append(args, "--casebook", filepath.Join(dir, "a.casebook")))
		cmd.SilenceErrors, cmd.SilenceUsage = true, true
		require.Error(t, cmd.ExecuteContext(t.Context()), strings.Join(args, " "))
	}
}

// An address of another computer cannot be listened at: what can is said.
func TestAnAddressThatIsNotOnesOwnSaysWhatToType(t *testing.T) {
	c := &console{in: strings.NewReader(""), out: io.Discard, err: io.Discard}
	cmd := newServeCommand(c)
	cmd.SetArgs([]string{"--listen", "192.0.2.77:8443", "--casebook", filepath.Join(t.TempDir(), "a.casebook")}) // TEST-NET-1, RFC 5737
	cmd.SilenceErrors, cmd.SilenceUsage = true, true
	var refused *recording.Error
	require.ErrorAs(t, cmd.ExecuteContext(t.Context()), &refused)
	require.Contains(t, refused.Hint, "--listen :8443")
}
