package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/desk"
	"cloche/internal/server/summary"
	"cloche/internal/store"
)

// settings are what the service is told by flags and environment.
type settings struct {
	Database string   // path of the SQLite file, or postgres://…; may hold a password
	Listen   string   // address to listen on
	URL      string   // address that phones can reach; "" = this machine's on the local network
	Proxies  []string // addresses of reverse proxies whose X-Forwarded-For is believed
	Metrics  string   // address that answers what is measured, for Prometheus; "" = none
	LogJSON  bool     // log lines as JSON
	Forget   forgetting
	Backup   nightly
}

func newServeCommand() *cobra.Command {
	var o settings
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Run the service",
		Long: "Run the service. Every setting can come from the environment:\n" +
			"CLOCHE_DATABASE, CLOCHE_LISTEN, CLOCHE_URL, CLOCHE_PROXIES, CLOCHE_BACKUP_DIR, CLOCHE_BACKUP_KEEP,\n" +
			"CLOCHE_METRICS, CLOCHE_LOG_JSON, CLOCHE_FORGET_GUESTS_AFTER,\n" +
			"CLOCHE_DELETE_STUDIES_AFTER, CLOCHE_KEEP_VERDICTS;\n" +
			"a flag wins over it.",
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := errors.Join(o.Backup.finish(cmd), o.Forget.finish(cmd)); err != nil {
				return err
			}
			return serve(cmd.Context(), o, cmd.OutOrStdout(), cmd.ErrOrStderr())
		},
	}
	addDatabase(cmd, &o.Database)
	cmd.Flags().StringVar(&o.Listen, "listen", fromEnv("CLOCHE_LISTEN", ":8080"), "address to listen on")
	cmd.Flags().StringVar(&o.URL, "url", fromEnv("CLOCHE_URL", ""),
		"address that phones can reach (default: this machine on the local network)")
	cmd.Flags().StringSliceVar(&o.Proxies, "proxies", listFromEnv("CLOCHE_PROXIES"),
		"addresses of reverse proxies whose X-Forwarded-For is believed")
	cmd.Flags().StringVar(&o.Metrics, "metrics", fromEnv("CLOCHE_METRICS", ""),
		"address that answers /metrics for Prometheus, such as 127.0.0.1:9464 (default: none)")
	cmd.Flags().BoolVar(&o.LogJSON, "log-json", os.Getenv("CLOCHE_LOG_JSON") == "1",
		"write the log as JSON, a line for each entry; also by CLOCHE_LOG_JSON=1")
	o.Forget.addFlags(cmd)
	o.Backup.addFlags(cmd)
	return cmd
}

func fromEnv(key, otherwise string) string {
	if v := os.Getenv(key); v != "" {
		return v
	}
	return otherwise
}

// listFromEnv reads a list with commas.
func listFromEnv(key string) []string {
	return strings.FieldsFunc(os.Getenv(key), func(r rune) bool { return r == ',' || r == ' ' })
}

func serve(ctx context.Context, o settings, stdout, stderr io.Writer) error {
	base, err := baseURL(o)
	if err != nil {
		return err
	}
	if err := checkProxies(o.Proxies); err != nil {
		return err
	}
	leftOpen := store.LeftOpen(o.Database)
	kept, err := store.OpenBackedUp(ctx, o.Database, o.Backup.Dir, time.Now())
	if err != nil {
		return err
	}
	defer kept.Close()
	svc, err := panel.New(ctx, kept, panel.Options{Others: kept.Others()})
	if err != nil {
		return err
	}
	code, err := setupCode(ctx, svc)
	if err != nil {
		return err
	}
	listener, err := net.Listen("tcp", o.Listen)
	if err != nil {
		return fmt.Errorf("listen on %s: %w; choose another address with --listen", o.Listen, err)
	}
	log := o.log(stderr)
	measured, stopMeasuring, err := o.measure(log)
	if err != nil {
		return err
	}
	defer stopMeasuring()
	if leftOpen {
		log.Warn("the database was not closed before: the service was killed or lost its power, or another program " +
			"has it open; what guests were told is kept is there, and the file was read through and is sound")
	}
	beside, stop := context.WithCancel(ctx)
	go watchClock(beside, log, clockEvery, readClock)
	backups, forgets := o.Backup.start(beside, kept, log), o.Forget.start(beside, svc, log)
	defer func() { stop(); backups(); forgets() }() // before the store is closed
	base = withPort(base, o.URL, listener.Addr())
	checkups := o.checkups(kept)
	logCheckups(log, checkups(ctx))
	if err := svc.NoteStart(ctx, o.noted()); err != nil { // the checkups have said more
		log.Error("the start is not in the service’s log", slog.Any("error", err))
	}
	fmt.Fprintf(stdout, "Cloche is ready at %s\n", base)
	if code != "" {
		fmt.Fprintf(stdout, "No password is set yet. Open %s/setup and use this set-up code: %s\n", base, code)
	}
	return listen(ctx, listener, svc, server.Options{URL: base, SetupCode: code, Proxies: o.Proxies,
		Backups: o.Backup.Dir, BackupKeep: o.Backup.Keep, ForgetAfter: o.Forget.Guests, DeleteAfter: o.Forget.Studies,
		DropVerdicts: !o.Forget.Verdicts, Log: log, Metrics: measured, Checkups: checkups})
}

// noted are the settings that the service's log keeps of a start: what is deleted and kept.
func (o settings) noted() string {
	keeps := "no backups by itself"
	if words := o.Backup.words(); words != "" {
		keeps = "backups " + words
	}
	return summary.Software() + ", " + o.Forget.noted() + ", " + keeps
}

// log writes lines of text or JSON.
func (o settings) log(to io.Writer) *slog.Logger {
	if o.LogJSON {
		return slog.New(slog.NewJSONHandler(to, nil))
	}
	return slog.New(slog.NewTextHandler(to, nil))
}

// setupCode returns the code that setting the first password asks for, so that
// a guest's phone cannot take the service over; "" when a password is set.
func setupCode(ctx context.Context, svc *panel.Service) (string, error) {
	has, err := svc.HasPassword(ctx)
	if err != nil || has {
		return "", err
	}
	return svc.SetupCode(), nil
}

// graceful is how long requests under way have to end when the service stops.
const graceful = 10 * time.Second

// listen serves until ctx ends, then lets requests under way finish.
func listen(ctx context.Context, l net.Listener, svc *panel.Service, o server.Options) error {
	o.Stopping = ctx.Done()
	handler, err := server.New(svc, o)
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	var beside sync.WaitGroup
	beside.Go(func() { desk.KeepVerdicts(ctx, svc, o.Log) })
	defer func() { stop(); beside.Wait() }() // before the store is closed
	hs := &http.Server{
		Handler:           handler,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       30 * time.Second,
		WriteTimeout:      60 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    64 << 10,
		ErrorLog:          slog.NewLogLogger(o.Log.Handler(), slog.LevelWarn),
	}
	failed := make(chan error, 1)
	go func() { failed <- hs.Serve(l) }()
	select {
	case err := <-failed:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), graceful)
	defer cancel()
	if err := hs.Shutdown(grace); err != nil && !errors.Is(err, http.ErrServerClosed) {
		return fmt.Errorf("stop: %w", err)
	}
	return nil
}

// baseURL checks the address that was set, or finds this machine's own.
func baseURL(o settings) (string, error) {
	if o.URL == "" {
		return "http://" + localHost(o.Listen), nil
	}
	u, err := url.Parse(o.URL)
	if err != nil || u.Host == "" || u.User != nil || strings.Trim(u.Path, "/") != "" ||
		(u.Scheme != "http" && u.Scheme != "https") {
		return "", fmt.Errorf("CLOCHE_URL is %q; write an address without a path or a password, such as "+
			"https://tasting.example.org", withoutUser(o.URL))
	}
	return strings.TrimRight(o.URL, "/"), nil
}

// withoutUser leaves user and password out of an address, sound or not.
func withoutUser(address string) string {
	before, rest, found := strings.Cut(address, "//")
	if at := strings.LastIndex(rest, "@"); found && at >= 0 {
		return before + "//…@" + rest[at+1:]
	}
	return address
}

// checkProxies checks addresses before the service says that it is ready.
func checkProxies(proxies []string) error {
	for _, p := range proxies {
		if _, _, err := net.ParseCIDR(p); err != nil && net.ParseIP(p) == nil {
			return fmt.Errorf("CLOCHE_PROXIES holds %q; write addresses such as 10.0.0.2, or ranges such as "+
				"10.0.0.0/8, with commas between", p)
		}
	}
	return nil
}

// withPort adds the port that the listener got to an address found by [baseURL].
func withPort(base, set string, at net.Addr) string {
	tcp, ok := at.(*net.TCPAddr)
	if set != "" || !ok {
		return base
	}
	return fmt.Sprintf("%s:%d", base, tcp.Port)
}

// localHost returns the host part for links: the one listened on, or this
// machine's first private address, or localhost.
func localHost(listen string) string {
	host, _, err := net.SplitHostPort(listen)
	if err == nil && host != "" && !net.ParseIP(host).IsUnspecified() {
		if strings.Contains(host, ":") {
			return "[" + host + "]"
		}
		return host
	}
	addrs, err := net.InterfaceAddrs()
	if err != nil {
		return "localhost"
	}
	for _, a := range addrs {
		n, ok := a.(*net.IPNet)
		if ok && n.IP.IsPrivate() && n.IP.To4() != nil {
			return n.IP.String()
		}
	}
	return "localhost"
}
