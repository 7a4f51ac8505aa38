package main

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"os"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"setdown/report/casebook"
	"setdown/report/trial"
	"setdown/report/web"
)

// serveMemory is the memory, bytes, above which the collector works harder, so
// that an upload of an hour stays below 300 MB.
const serveMemory = 240 << 20

type serveOptions struct {
	book, listen, passFile string
	port                   int
	open                   bool
}

func newServeCommand(c *console) *cobra.Command {
	var o serveOptions
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Open the local page: drop the recordings, see the answer",
		Long: `serve shows setdown as a page in the browser of this computer: drop the files of
both feet, check how they were read, see the answer; keep cases, a diary and
sessions over time. It can be reached from this computer only, and it sends
nothing anywhere.

With --listen ADDRESS:PORT, or :PORT for every address of this computer, other
devices in the same network (a phone) can reach it too: over TLS with a certificate
that is made on first use and whose fingerprint is printed, and after a passphrase.
Use it in a network that you trust.

It ends with Ctrl-C; what is being computed then is dropped whole.` + exitStatusHelp,
		Example: "  setdown serve\n  setdown serve --listen :8443\n  setdown serve --listen 192.168.1.20:8443",
		Args:    noArgs,
		RunE:    func(cmd *cobra.Command, _ []string) error { return runServe(cmd.Context(), c, &o) },
	}
	f := cmd.Flags()
	f.StringVar(&o.book, "casebook", "", "the casebook's file; usually "+shownPlace())
	f.IntVar(&o.port, "port", 0, "port on this computer; 0 takes a free one")
	f.StringVar(&o.listen, "listen", "", "ADDRESS:PORT for other devices, with TLS and a passphrase")
	f.StringVar(&o.passFile, "passphrase-file", "", "file whose first line is the passphrase (12 characters or more); else one is made")
	f.BoolVar(&o.open, "open", false, "open the page in the browser")
	return cmd
}

func runServe(ctx context.Context, c *console, o *serveOptions) error {
	endlessHeap().set() // it may be given anything while it runs
	path := o.book
	if path == "" {
		var err error
		if path, err = defaultCasebook(); err != nil {
			return err
		}
	}
	debug.SetMemoryLimit(serveMemory)
	book, err := casebook.Create(ctx, path)
	if err != nil {
		return withHint(err)
	}
	folder, free, err := serveFolder(path)
	if err != nil {
		return errors.Join(err, book.Close())
	}
	defer free()
	s := &serving{console: c, options: o, folder: folder, config: web.Config{Book: book, Folder: folder, Version: version,
		Now: time.Now, Random: rand.Reader, Log: lineLog(c)}}
	return errors.Join(s.run(ctx), folder.Close(), book.Close())
}

// serveFolder is the folder of the pages' own files, beside the casebook. It is kept
// for one server, until free is called: another would take the uploads on their way
// for what an earlier run left behind, and remove them.
func serveFolder(book string) (folder *os.Root, free func(), err error) {
	dir := book + "-web"
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, nil, err
	}
	if free, err = trial.Lock(dir); err != nil {
		if errors.Is(err, trial.ErrBusy) {
			err = hinted(fmt.Errorf("%s: setdown serve is at work with this casebook already", book), "open the page that it named, end it with Ctrl-C first, or name another casebook with --casebook")
		}
		return nil, nil, err
	}
	if folder, err = os.OpenRoot(dir); err != nil {
		free()
	}
	return folder, free, err
}

// lineLog prints lines of faults, one at a time.
func lineLog(c *console) func(string) {
	var mu sync.Mutex
	return func(line string) {
		mu.Lock()
		defer mu.Unlock()
		fmt.Fprintf(c.err, "setdown: serve: %s\n", line)
	}
}

// serving is one run of the server.
type serving struct {
	console *console
	options *serveOptions
	folder  *os.Root
	config  web.Config
	tls     *tls.Config
}

func (s *serving) run(ctx context.Context) error {
	l, err := s.listener()
	if err != nil {
		return err
	}
	defer l.Close()
	app, err := web.New(s.config)
	if err != nil {
		return err
	}
	server := &http.Server{Handler: app.Handler(), ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 1 << 16,
		ErrorLog: quietLog(s.config.Log), TLSConfig: s.tls}
	address := s.address(l)
	fmt.Fprintf(s.console.out, "Open this page: %s\nIt ends with Ctrl-C.\n", address)
	if s.options.open {
		if err := openAddress(ctx, address); err != nil {
			s.config.Log("the browser could not be opened: " + err.Error())
		}
	}
	failed := make(chan error, 1)
	go func() {
		if s.tls != nil {
			failed <- server.ServeTLS(l, "", "")
			return
		}
		failed <- server.Serve(l)
	}()
	select {
	case err := <-failed:
		return errors.Join(err, closeApp(app))
	case <-ctx.Done():
		return stopServing(server, app)
	}
}

// graceful is how long requests may take to end after Ctrl-C.
const graceful = 10 * time.Second

// stopServing lets running requests end; a computation is cancelled and leaves
// nothing behind. Ending this way is what was asked for, and no fault.
func stopServing(server *http.Server, app *web.Server) error {
	ctx, cancel := context.WithTimeout(context.Background(), graceful)
	defer cancel()
	err := app.Close(ctx)
	if e := server.Shutdown(ctx); e != nil {
		err = errors.Join(err, e, server.Close())
	}
	return err
}

func closeApp(app *web.Server) error {
	ctx, cancel := context.WithTimeout(context.Background(), graceful)
	defer cancel()
	return app.Close(ctx)
}

// listener opens the port and fills in who can reach it.
func (s *serving) listener() (net.Listener, error) {
	if s.options.listen == "" {
		l, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", s.options.port))
		if err != nil {
			return nil, hinted(err, "give another port, or leave --port out")
		}
		port := l.Addr().(*net.TCPAddr).Port
		s.config.Hosts = []string{fmt.Sprintf("127.0.0.1:%d", port), fmt.Sprintf("localhost:%d", port)}
		s.config.Exposed = []string{"Only this computer can reach this page. Anyone who uses this computer under any account can."}
		return l, nil
	}
	return s.listenOpen()
}

// listenOpen opens the port for other devices: never without TLS and a
// passphrase.
func (s *serving) listenOpen() (net.Listener, error) {
	host, _, err := net.SplitHostPort(s.options.listen)
	if err != nil || net.ParseIP(host) == nil && host != "" {
		return nil, &usageError{fmt.Sprintf("--listen %q is not ADDRESS:PORT", s.options.listen), "for example --listen 192.168.1.20:8443"}
	}
	phrase, made, err := passphrase(s.options.passFile)
	if err != nil {
		return nil, err
	}
	addresses, err := addressesOf(host)
	if err != nil {
		return nil, err
	}
	cert, print, err := certificate(s.folder, addresses, s.config.Now())
	if err != nil {
		return nil, err
	}
	l, err := net.Listen("tcp", s.options.listen)
	if err != nil {
		return nil, hinted(err, "give an address of this computer and a free port; --listen :8443 takes all its addresses and names them")
	}
	port := l.Addr().(*net.TCPAddr).Port
	for _, a := range addresses {
		s.config.Hosts = append(s.config.Hosts, strings.ToLower(net.JoinHostPort(a, fmt.Sprint(port))))
	}
	s.config.Passphrase, s.tls = phrase, &tls.Config{MinVersion: tls.VersionTLS13, Certificates: []tls.Certificate{cert}}
	s.config.Exposed = []string{
		"Every device that can reach " + strings.Join(s.config.Hosts, ", ") + " can open the page that asks for the passphrase.",
		"Whoever has the passphrase can see, change and delete all cases, diaries and recordings in this casebook.",
		"What is sent is encrypted by a certificate that setdown made itself: compare the fingerprint before you trust it: " + print + "."}
	s.announce(phrase, made, print)
	return l, nil
}

// announce says plainly what is exposed.
func (s *serving) announce(phrase string, made bool, print string) {
	w := s.console.out
	fmt.Fprintln(w, "This page can be reached from other devices:")
	for _, line := range s.config.Exposed {
		fmt.Fprintln(w, "  "+line)
	}
	fmt.Fprintf(w, "Fingerprint of the certificate (SHA-256): %s\n", print)
	if made {
		fmt.Fprintf(w, "Passphrase: %s\n", phrase)
	}
	if there := fromOutside(s.config.Hosts); len(there) > 0 {
		fmt.Fprintf(w, "On the other device open: %s\n", strings.Join(there, " or "))
	}
}

// fromOutside are the addresses of the page for other devices: those by which the
// computer calls only itself, and names that others may not know, are left out.
func fromOutside(hosts []string) []string {
	var out []string
	for _, h := range hosts {
		if a, err := netip.ParseAddrPort(h); err == nil && !a.Addr().IsLoopback() {
			out = append(out, "https://"+h+"/")
		}
	}
	return out
}

// address is what to open in the browser.
func (s *serving) address(l net.Listener) string {
	if s.tls == nil {
		return "http://" + s.config.Hosts[0] + "/"
	}
	return "https://" + s.config.Hosts[0] + "/"
}
