// Command cloche-pictures takes the README's two pictures from the demo: the report of the
// closed study, and a ballot of the open one as it is on a phone. It builds and starts
// “cloche demo” on loopback, opens it in Chromium, writes web/pictures, and ends by itself.
package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"regexp"
	"time"

	"github.com/chromedp/chromedp"
)

// pictures is where the README finds them.
const pictures = "web/pictures"

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := takeAll(ctx); err != nil {
		fmt.Fprintf(os.Stderr, "cloche-pictures: %v\n", err)
		os.Exit(1)
	}
}

// takeAll takes both pictures; it is called in the repository's top folder.
func takeAll(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, 15*time.Minute)
	defer cancel()
	d, err := startDemo(ctx)
	if err != nil {
		return err
	}
	defer d.end()
	browser, closeBrowser, err := open()
	if err != nil {
		return err
	}
	defer closeBrowser()
	for name, take := range map[string]func(context.Context, *demo) ([]byte, error){
		"report.png": takeReport, "ballot.png": takeBallot} {
		picture, err := take(browser, d)
		if err != nil {
			return fmt.Errorf("take %s: %w", name, err)
		}
		if picture, err = small(picture); err != nil {
			return fmt.Errorf("make %s small: %w", name, err)
		}
		if err := os.WriteFile(filepath.Join(pictures, name), picture, 0o644); err != nil {
			return err
		}
		fmt.Printf("%s: %d kB\n", filepath.Join(pictures, name), len(picture)/1000)
	}
	return nil
}

// demo is the running demo, and what it printed.
type demo struct {
	join, report, password string
	end                    func()
}

var printed = map[string]*regexp.Regexp{
	"join":     regexp.MustCompile(`(http://\S+/join/\S+)`),
	"password": regexp.MustCompile(`LEAD +password: (\S+)`),
	"report":   regexp.MustCompile(`closed study: (http://\S+)`),
}

func startDemo(ctx context.Context) (*demo, error) {
	dir, err := os.MkdirTemp("", "cloche-pictures-")
	if err != nil {
		return nil, err
	}
	program := filepath.Join(dir, "cloche")
	build := exec.CommandContext(ctx, "go", "build", "-o", program, "./cmd/cloche")
	build.Stderr = os.Stderr
	if err := build.Run(); err != nil {
		return nil, errors.Join(fmt.Errorf("build the program: %w", err), os.RemoveAll(dir))
	}
	cmd := exec.CommandContext(ctx, program, "demo", "--listen", "127.0.0.1:0")
	cmd.Cancel = func() error { return cmd.Process.Signal(os.Interrupt) }
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := cmd.Start(); err != nil {
		return nil, fmt.Errorf("start the demo: %w", err)
	}
	d := &demo{end: func() {
		_ = cmd.Process.Signal(os.Interrupt)
		_ = cmd.Wait()
		_ = os.RemoveAll(dir)
	}}
	if err := d.read(out); err != nil {
		d.end()
		return nil, err
	}
	go func() { _, _ = io.Copy(io.Discard, out) }() // or the demo waits for its reader
	return d, nil
}

// read takes links and password from what the demo prints.
func (d *demo) read(out io.Reader) error {
	lines := bufio.NewScanner(out)
	into := map[string]*string{"join": &d.join, "password": &d.password, "report": &d.report}
	for d.report == "" && lines.Scan() {
		for what, form := range printed {
			if m := form.FindStringSubmatch(lines.Text()); m != nil {
				*into[what] = m[1]
			}
		}
	}
	if d.report == "" {
		return errors.Join(errors.New("the demo ended before it printed its links"), lines.Err())
	}
	return nil
}

// open starts Chromium without windows.
func open() (context.Context, func(), error) {
	for _, name := range []string{"chromium-headless-shell", "chromium"} {
		path, err := exec.LookPath(name)
		if err != nil {
			continue
		}
		allocated, stop := chromedp.NewExecAllocator(context.Background(),
			append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
				chromedp.DisableGPU, chromedp.Flag("hide-scrollbars", true))...)
		ctx, closeTab := chromedp.NewContext(allocated)
		closeAll := func() { closeTab(); stop() }
		if err := chromedp.Do(ctx); err != nil { // Chromium lives as long as the context of the first call
			closeAll()
			return nil, nil, fmt.Errorf("start Chromium: %w", err)
		}
		return ctx, closeAll, nil
	}
	return nil, nil, errors.New("no Chromium is installed: install chromium-headless-shell or chromium")
}
