package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"
)

// story acts as the people of a shop over the API, one line a step. The demo
// shop is told this way, and so are the scenarios of the tests: what they do
// is what any client can do.
type story struct {
	base   string
	client *http.Client
	now    func() time.Time
	// check, if set, holds every answer against something else.
	check func(*http.Request, *http.Response, []byte) error

	vars   map[string]string
	people map[string]person
	etags  map[string]string
	who    string
	status int
	body   []byte
}

// person is somebody who can sign in.
type person struct {
	shop, login, password string
	token                 string
	until                 time.Time
}

func newStory(base string, client *http.Client, now func() time.Time) *story {
	return &story{base: base, client: client, now: now, vars: map[string]string{}, people: map[string]person{}, etags: map[string]string{}}
}

// steps are the words a line may start with.
func (s *story) steps() map[string]func([]string) error {
	return map[string]func([]string) error{
		"signin": s.signIn, "as": s.as, "uuid": s.uuid, "let": s.let, "status": s.wantStatus,
		"get": s.get, "post": s.post, "put": s.put, "change": s.change, "move": s.move,
		"open": s.open, "form": s.form,
	}
}

// tell runs a script and stops at the first line that fails. more are steps
// of the teller's own.
func (s *story) tell(script string, more map[string]func([]string) error) error {
	for n, line := range strings.Split(script, "\n") {
		words, err := splitWords(line)
		if err != nil {
			return fmt.Errorf("line %d: %w", n+1, err)
		}
		if len(words) == 0 {
			continue
		}
		step := s.steps()[words[0]]
		if step == nil {
			step = more[words[0]]
		}
		if step == nil {
			return fmt.Errorf("line %d: there is no step %q", n+1, words[0])
		}
		if err := step(s.expand(words[1:])); err != nil {
			return fmt.Errorf("line %d: %s: %w (last answer %d: %.500s)", n+1, words[0], err, s.status, s.body)
		}
	}
	return nil
}

// splitWords splits a line at blanks; '…' keeps blanks, # starts a comment.
func splitWords(line string) ([]string, error) {
	var words []string
	var word strings.Builder
	quoted, some := false, false
	for i := 0; i < len(line); i++ {
		c := line[i]
		switch {
		case c == '\'':
			quoted, some = !quoted, true
		case !quoted && (c == ' ' || c == '\t'):
			if some {
				words, some = append(words, word.String()), false
				word.Reset()
			}
		case !quoted && !some && c == '#':
			return words, nil
		default:
			some = true
			_ = word.WriteByte(c)
		}
	}
	if quoted {
		return nil, errors.New("a quote is not closed")
	}
	if some {
		words = append(words, word.String())
	}
	return words, nil
}

func (s *story) expand(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = os.Expand(w, s.variable)
	}
	return out
}

// variable gives a kept value, or a day: today, today+3, today-2, or now.
func (s *story) variable(name string) string {
	if name == "now" {
		return s.now().UTC().Format(time.RFC3339Nano)
	}
	if rest, ok := strings.CutPrefix(name, "today"); ok {
		days, err := strconv.Atoi(rest)
		if err == nil || rest == "" {
			return s.now().AddDate(0, 0, days).Format(time.DateOnly)
		}
	}
	return s.vars[name]
}

// signIn NAME SHOP LOGIN PASSWORD: signs in and acts as NAME from now on.
func (s *story) signIn(args []string) error {
	if len(args) != 4 {
		return errors.New("give name, shop, login and password")
	}
	s.people[args[0]] = person{shop: args[1], login: args[2], password: args[3]}
	return s.as(args[:1])
}

// tokenSpare is how long before its end an access token is renewed.
const tokenSpare = 2 * time.Minute

// as NAME: acts as somebody who has signed in, signing in again where the
// token has run out; "as nobody" acts without one.
func (s *story) as(args []string) error {
	s.who = args[0]
	p, ok := s.people[s.who]
	if s.who == "nobody" {
		return nil
	}
	if !ok {
		return fmt.Errorf("%s has not signed in", s.who)
	}
	if s.now().Add(tokenSpare).Before(p.until) {
		return nil
	}
	s.who = "nobody"
	body, err := json.Marshal(map[string]string{"shop": p.shop, "login": p.login, "password": p.password})
	if err != nil {
		return err
	}
	if err := s.call(http.MethodPost, "/v1/sign-in", string(body), nil); err != nil {
		return err
	}
	if err := s.wantStatus([]string{"200"}); err != nil {
		return err
	}
	return s.keepToken(args[0], p)
}

// accessLife is how long an access token lives.
const accessLife = 10 * time.Minute

func (s *story) keepToken(name string, p person) error {
	token, err := s.at("access_token")
	if err != nil {
		return err
	}
	p.token, p.until = token, s.now().Add(accessLife)
	s.people[name], s.who = p, name
	return nil
}

// uuid NAME …: makes fresh ids as a client does.
func (s *story) uuid(args []string) error {
	for _, name := range args {
		id, err := uuid.NewV7()
		if err != nil {
			return err
		}
		s.vars[name] = id.String()
	}
	return nil
}

func (s *story) get(args []string) error { return s.call(http.MethodGet, args[0], "", nil) }

// post PATH [BODY] [KEY]: an effect under a fresh or a given Idempotency-Key.
func (s *story) post(args []string) error {
	key, body := uuid.NewString(), ""
	if len(args) > 1 {
		body = args[1]
	}
	if len(args) > 2 {
		key = args[2]
	}
	return s.call(http.MethodPost, args[0], body, http.Header{"Idempotency-Key": {key}})
}

// put PATH BODY: makes a record.
func (s *story) put(args []string) error {
	return s.call(http.MethodPut, args[0], args[1], http.Header{"If-None-Match": {"*"}})
}

// change PATH BODY [VERSION]: changes the version that is there, or the one given.
func (s *story) change(args []string) error {
	etag := ""
	if len(args) > 2 {
		etag = `"` + args[2] + `"`
	} else {
		if err := s.get(args[:1]); err != nil {
			return err
		}
		etag = s.etags[args[0]]
	}
	return s.call(http.MethodPut, args[0], args[1], http.Header{"If-Match": {etag}})
}

// move JOB MOVE: moves a job and expects it to be allowed.
func (s *story) move(args []string) error {
	if err := s.post([]string{"/v1/jobs/" + args[0] + "/moves", fmt.Sprintf(`{"move":%q}`, args[1])}); err != nil {
		return err
	}
	return s.wantStatus([]string{"200"})
}

// open URL: opens a page for people, without scripting.
func (s *story) open(args []string) error { return s.send(http.MethodGet, pathOf(args[0]), nil, nil) }

// form URL name=value …: answers a form on such a page.
func (s *story) form(args []string) error {
	values := url.Values{}
	for _, pair := range args[1:] {
		name, value, _ := strings.Cut(pair, "=")
		values.Add(name, value)
	}
	return s.send(http.MethodPost, pathOf(args[0]), strings.NewReader(values.Encode()),
		http.Header{"Content-Type": {"application/x-www-form-urlencoded"}})
}

// pathOf drops scheme and host of a link: the server is the one at hand.
func pathOf(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return address
	}
	return u.RequestURI()
}

func (s *story) call(method, path, body string, header http.Header) error {
	if header == nil {
		header = http.Header{}
	}
	if p, ok := s.people[s.who]; ok {
		header.Set("Authorization", "Bearer "+p.token)
	}
	var r io.Reader
	if body != "" {
		header.Set("Content-Type", "application/json")
		r = strings.NewReader(body)
	}
	return s.send(method, path, r, header)
}

func (s *story) send(method, path string, body io.Reader, header http.Header) error {
	req, err := http.NewRequest(method, s.base+path, body)
	if err != nil {
		return err
	}
	for name, values := range header {
		req.Header[name] = values
	}
	res, err := s.client.Do(req)
	if err != nil {
		return err
	}
	defer func() { _ = res.Body.Close() }()
	s.status = res.StatusCode
	if s.body, err = io.ReadAll(res.Body); err != nil {
		return err
	}
	if etag := res.Header.Get("ETag"); etag != "" {
		s.etags[path] = etag
	}
	if s.check != nil {
		return s.check(req, res, s.body)
	}
	return nil
}

func (s *story) wantStatus(args []string) error {
	if strconv.Itoa(s.status) != args[0] {
		return fmt.Errorf("status %d, want %s", s.status, args[0])
	}
	return nil
}

// let NAME PATH: keeps a value of the last answer.
func (s *story) let(args []string) error {
	value, err := s.at(args[1])
	s.vars[args[0]] = value
	return err
}

// at reads a value of the last answer by its dotted path: items.0.id, or
// items.# for a count.
func (s *story) at(path string) (string, error) {
	var value any
	d := json.NewDecoder(bytes.NewReader(s.body))
	d.UseNumber()
	if err := d.Decode(&value); err != nil {
		return "", fmt.Errorf("the answer is not JSON: %w", err)
	}
	for _, step := range strings.Split(path, ".") {
		var err error
		if value, err = stepInto(value, step); err != nil {
			return "", fmt.Errorf("%s: %w", path, err)
		}
	}
	switch v := value.(type) {
	case string:
		return v, nil
	case nil:
		return "null", nil
	case []any:
		return listText(v)
	default:
		return fmt.Sprint(v), nil
	}
}

// listText gives a list as JSON without its brackets, so that it can stand in
// another list.
func listText(list []any) (string, error) {
	text, err := json.Marshal(list)
	if err != nil {
		return "", err
	}
	return string(text[1 : len(text)-1]), nil
}

func stepInto(value any, step string) (any, error) {
	switch v := value.(type) {
	case map[string]any:
		inner, ok := v[step]
		if !ok {
			return nil, fmt.Errorf("there is no %s", step)
		}
		return inner, nil
	case []any:
		if step == "#" {
			return json.Number(strconv.Itoa(len(v))), nil
		}
		i, err := strconv.Atoi(step)
		if err != nil || i < 0 || i >= len(v) {
			return nil, fmt.Errorf("there is no item %s", step)
		}
		return v[i], nil
	}
	return nil, fmt.Errorf("there is no %s in a plain value", step)
}
