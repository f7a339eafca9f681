package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/exec"
	"runtime/pprof"
	"strconv"
	"strings"
	"sync"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/desk"
	"cloche/internal/store"
)

// asService makes this program run as the service alone, on the database that it names.
const (
	asService   = "CLOCHE_LOAD_SERVICE"
	withProfile = "CLOCHE_LOAD_PROFILE"
)

// service is the service in a process of its own, so that what it uses is told from what
// phones use.
type service struct {
	url string
	cmd *exec.Cmd
	in  io.Closer // the service ends when this is closed
}

func startService(dsn, profile string) (*service, error) {
	program, err := os.Executable()
	if err != nil {
		return nil, err
	}
	s := &service{cmd: exec.Command(program)}
	s.cmd.Env = append(os.Environ(), asService+"="+dsn, withProfile+"="+profile)
	s.cmd.Stderr = os.Stderr
	if s.in, err = s.cmd.StdinPipe(); err != nil {
		return nil, err
	}
	out, err := s.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := s.cmd.Start(); err != nil {
		return nil, err
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		return nil, errors.Join(errors.New("the service did not start"), s.end())
	}
	s.url = strings.TrimSpace(line)
	return s, nil
}

func (s *service) end() error { return errors.Join(s.in.Close(), s.cmd.Wait()) }

// ticks is how many a second the kernel counts for programs: fixed at 100 on Linux (proc(5)).
const ticks = 100

// processor is what the service has used of the processors, to a hundredth of a second.
func (s *service) processor() time.Duration { return processorOf(s.cmd.Process.Pid) }

// ownProcessor is the same of this program: of its phones and viewers.
func ownProcessor() time.Duration { return processorOf(os.Getpid()) }

func processorOf(process int) time.Duration {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", process))
	if err != nil {
		return 0
	}
	_, after, _ := strings.Cut(string(text), ") ") // the name of the program may hold blanks
	fields := strings.Fields(after)
	if len(fields) < 13 {
		return 0
	}
	user, _ := strconv.Atoi(fields[11]) // utime and stime, the 14th and 15th of proc(5)
	system, _ := strconv.Atoi(fields[12])
	return time.Duration(user+system) * time.Second / ticks
}

// memory is the most that the service held so far, in bytes.
func (s *service) memory() int64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.cmd.Process.Pid))
	if err != nil {
		return 0
	}
	_, after, _ := strings.Cut(string(text), "VmHWM:")
	fields := strings.Fields(after)
	if len(fields) == 0 {
		return 0
	}
	kib, _ := strconv.ParseInt(fields[0], 10, 64)
	return kib << 10
}

// serveAlone is the service: it says where it listens, and ends when nobody holds its
// input any more.
func serveAlone() (err error) {
	ctx := context.Background()
	kept, err := store.Open(ctx, os.Getenv(asService))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, kept.Close()) }()
	svc, err := panel.New(ctx, kept, panel.Options{Others: kept.Others()})
	if err != nil {
		return err
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	at := "http://" + listener.Addr().String()
	handler, err := server.New(svc, server.Options{URL: at, Invented: true, Proxies: []string{"127.0.0.1"},
		Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	if err != nil {
		return err
	}
	if to := os.Getenv(withProfile); to != "" {
		file, err := os.Create(to)
		if err != nil {
			return err
		}
		defer file.Close()
		if err := pprof.StartCPUProfile(file); err != nil {
			return err
		}
		defer pprof.StopCPUProfile()
	}
	beside, stop := context.WithCancel(ctx)
	var verdicts sync.WaitGroup
	verdicts.Go(func() { desk.KeepVerdicts(beside, svc, slog.New(slog.NewTextHandler(os.Stderr, nil))) })
	defer func() { stop(); verdicts.Wait() }()
	hs := &http.Server{Handler: handler, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second,
		WriteTimeout: time.Minute}
	go func() { _ = hs.Serve(listener) }() // ends with Close
	fmt.Println(at)
	_, _ = io.Copy(io.Discard, os.Stdin)
	return hs.Close()
}
