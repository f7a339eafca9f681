package servertest

import (
	"archive/zip"
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"
)

// Visitor is a browser without scripts: it keeps cookies and, like a browser,
// sends Origin with its forms.
type Visitor struct {
	T    testing.TB
	Base string
	HTTP *http.Client
}

// Visitor returns a browser that nobody has used.
func (f *Fixture) Visitor() *Visitor {
	jar, err := cookiejar.New(nil)
	f.Must(err)
	return &Visitor{T: f.T, Base: f.Web.URL, HTTP: &http.Client{Jar: jar, Timeout: 30 * time.Second}}
}

// Lead returns a browser in which the lead is signed in.
func (f *Fixture) Lead() *Visitor {
	f.T.Helper()
	has, err := f.Svc.HasPassword(f.T.Context())
	f.Must(err)
	if !has {
		f.Must(f.Svc.SetPassword(f.T.Context(), LeadName, LeadPassword))
	}
	v := f.Visitor()
	if p := v.Post("/sign-in", "name", LeadName, "password", LeadPassword); p.Path != "/studies" {
		f.T.Fatalf("sign in ended at %s, want /studies", p.Path)
	}
	return v
}

// Asks makes a browser ask for pages in a language.
type Asks string

// RoundTrip sends a request.
func (a Asks) RoundTrip(r *http.Request) (*http.Response, error) {
	r.Header.Set("Accept-Language", string(a))
	return http.DefaultTransport.RoundTrip(r)
}

// Page is an answer, at the end of its redirects.
type Page struct {
	T      testing.TB
	Status int
	Path   string
	Header http.Header
	Body   string
}

// Files are those of a ZIP archive that was got, by their paths in it.
func (p Page) Files() map[string]string {
	p.T.Helper()
	must := func(err error) {
		p.T.Helper()
		if err != nil {
			p.T.Fatal(err)
		}
	}
	archive, err := zip.NewReader(strings.NewReader(p.Body), int64(len(p.Body)))
	must(err)
	files := map[string]string{}
	for _, x := range archive.File {
		r, err := x.Open()
		must(err)
		content, err := io.ReadAll(r)
		must(err)
		files[x.Name] = string(content)
	}
	return files
}

// All is every byte that the client got.
func (p Page) All() string {
	var b strings.Builder
	for k, v := range p.Header {
		fmt.Fprintf(&b, "%s: %s\n", k, strings.Join(v, ", "))
	}
	return p.Path + "\n" + b.String() + p.Body
}

// HTML parses the page.
func (p Page) HTML() *goquery.Document {
	p.T.Helper()
	doc, err := goquery.NewDocumentFromReader(strings.NewReader(p.Body))
	if err != nil {
		p.T.Fatal(err)
	}
	return doc
}

// Get opens a page.
func (v *Visitor) Get(path string) Page {
	v.T.Helper()
	return v.Do(http.MethodGet, path, "", nil)
}

// Post sends a form of pairs of name and value.
func (v *Visitor) Post(path string, pairs ...string) Page {
	v.T.Helper()
	form := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Add(pairs[i], pairs[i+1])
	}
	return v.Do(http.MethodPost, path, "application/x-www-form-urlencoded", strings.NewReader(form.Encode()))
}

// Upload sends the study form with a file, or with text when name is "".
func (v *Visitor) Upload(name, content string) Page {
	v.T.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	part, err := w.CreateFormFile("file", name)
	if err != nil {
		v.T.Fatal(err)
	}
	if name != "" {
		_, err = io.WriteString(part, content)
	} else {
		err = w.WriteField("text", content)
	}
	if err != nil {
		v.T.Fatal(err)
	}
	if err := w.Close(); err != nil {
		v.T.Fatal(err)
	}
	return v.Do(http.MethodPost, "/studies/upload", w.FormDataContentType(), &b)
}

// Send sends a form with a file and fields.
func (v *Visitor) Send(path, name, content string, pairs ...string) Page {
	v.T.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	part, err := w.CreateFormFile("file", name)
	if err == nil {
		_, err = io.WriteString(part, content)
	}
	for i := 0; i+1 < len(pairs) && err == nil; i += 2 {
		err = w.WriteField(pairs[i], pairs[i+1])
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		v.T.Fatal(err)
	}
	return v.Do(http.MethodPost, path, w.FormDataContentType(), &b)
}

// Do sends a request and checks what holds for every answer.
func (v *Visitor) Do(method, path, kind string, body io.Reader) Page {
	v.T.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, method, v.Base+path, body)
	if err != nil {
		v.T.Fatal(err)
	}
	if method == http.MethodPost {
		r.Header.Set("Content-Type", kind)
		r.Header.Set("Origin", v.Base)
	}
	answer, err := v.HTTP.Do(r)
	if err != nil {
		v.T.Fatal(err)
	}
	defer answer.Body.Close()
	got, err := readAnswer(answer)
	if err != nil {
		v.T.Fatal(err)
	}
	p := Page{v.T, answer.StatusCode, answer.Request.URL.Path, answer.Header, string(got)}
	sound(v.T, p)
	return p
}

// readAnswer reads an answer to its end, a stream of events to the end of its
// first event.
func readAnswer(answer *http.Response) ([]byte, error) {
	if !strings.HasPrefix(answer.Header.Get("Content-Type"), "text/event-stream") {
		return io.ReadAll(answer.Body)
	}
	var got []byte
	lines := bufio.NewReader(answer.Body)
	for {
		line, err := lines.ReadBytes('\n')
		got = append(got, line...)
		if err != nil || len(line) == 1 {
			return got, err
		}
	}
}

// First sends a GET and does not follow redirects.
func (v *Visitor) First(method, path string) Page {
	v.T.Helper()
	still := *v
	client := *v.HTTP
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	still.HTTP = &client
	return still.Do(method, path, "application/x-www-form-urlencoded", nil)
}

// MustStatus ends the test at an answer with another status.
func MustStatus(t testing.TB, p Page, want int) {
	t.Helper()
	if p.Status != want {
		t.Fatalf("%s: status %d, want %d (%s: %s)", p.Path, p.Status, want, http.StatusText(p.Status),
			p.HTML().Find("main").Text())
	}
}
