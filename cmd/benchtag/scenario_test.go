package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/legacy"
	"github.com/rogpeppe/go-internal/testscript"

	"benchtag/internal/store/storetest"
	"benchtag/openapi"
)

// binary is the program under test: the one that BENCHTAG_TEST_PROGRAM names,
// or built once.
var binary = sync.OnceValues(func() (string, error) {
	if made := os.Getenv("BENCHTAG_TEST_PROGRAM"); made != "" {
		return made, nil
	}
	dir, err := os.MkdirTemp("", "benchtag-bin")
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, "benchtag")
	cmd := exec.Command("go", "build", "-o", path, ".")
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0")
	out, err := cmd.CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("build: %w\n%s", err, out)
	}
	return path, nil
})

const scenarioFolder = "../../testdata/scenarios"

// TestScenarios runs every story against the built program over HTTP, on both
// databases.
func TestScenarios(t *testing.T) {
	found, err := filepath.Glob(scenarioFolder + "/*.txtar")
	if err != nil || len(found) == 0 {
		t.Fatalf("no scenarios found: %v", err)
	}
	t.Run("sqlite", func(t *testing.T) { runScenarios(t, false) })
	t.Run("postgres", func(t *testing.T) {
		storetest.Address(t) // skips here, or fails where it is required
		runScenarios(t, true)
	})
}

func runScenarios(t *testing.T, onPostgres bool) {
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: scenarioFolder,
		Setup: func(env *testscript.Env) error {
			w := &world{binary: path, folder: env.WorkDir}
			if onPostgres {
				w.postgres = storetest.Address(t)
			}
			if err := w.start(); err != nil {
				return err
			}
			env.Values["world"] = w
			env.Defer(w.stop)
			return nil
		},
		Cmds: commandsOf(),
		Condition: func(word string) (bool, error) {
			if word == "long" {
				return os.Getenv("BENCHTAG_LONG") != "", nil
			}
			return false, fmt.Errorf("there is no condition %q", word)
		},
	})
}

// commandsOf makes every step of a story a command, and adds those of tests.
func commandsOf() map[string]func(*testscript.TestScript, bool, []string) {
	all := map[string]func(*testscript.TestScript, bool, []string){
		"setup": inWorld((*world).setup), "crew": inWorld((*world).crew), "visit": inWorld((*world).visit), "gates": inWorld((*world).wantGates), "problem": inWorld((*world).wantProblem),
		"want": inWorld((*world).want), "has": inWorld((*world).has), "restart": inWorld((*world).restart),
		"kill": inWorld((*world).kill), "run": inWorld((*world).runCommand), "rest": inWorld((*world).rest),
	}
	for name, step := range moreSteps() {
		all[name] = inWorld(step)
	}
	for name := range (&story{}).steps() {
		all[name] = inWorld(func(w *world, args []string) error { return w.steps()[name](args) })
	}
	return all
}

// contract finds the promise for an answer. It is read once and never changed.
var contract = sync.OnceValues(func() (routers.Router, error) {
	doc, err := openapi3.NewLoader().LoadFromData(openapi.Document())
	if err != nil {
		return nil, err
	}
	return legacy.NewRouter(doc)
})

const ownerPassword = "correct horse battery staple nine"

// world is one story's server, people and variables.
type world struct {
	*story
	binary, folder, postgres string
	address                  string
	cmd                      *exec.Cmd
	log                      *lockedBuffer
	env                      []string // settings beside the usual ones
	router                   routers.Router
}

type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// inWorld turns a method into a command. "! command" expects it to fail.
func inWorld(do func(*world, []string) error) func(*testscript.TestScript, bool, []string) {
	return func(ts *testscript.TestScript, neg bool, args []string) {
		w := ts.Value("world").(*world)
		for i, a := range args {
			args[i] = os.Expand(a, w.variable)
		}
		err := do(w, args)
		for name, value := range w.vars {
			ts.Setenv(name, value) // so that words outside quotes see them too
		}
		if err == nil && neg {
			ts.Fatalf("expected this to fail; last answer %d: %s", w.status, w.body)
		}
		if err != nil && !neg {
			ts.Fatalf("%v\nlast answer %d: %s\nserver said:\n%s", err, w.status, w.body, tail(w.log.String()))
		}
	}
}

func tail(text string) string {
	if len(text) > 3000 {
		return "…" + text[len(text)-3000:]
	}
	return text
}

var servingAt = regexp.MustCompile(`Serving at (\S+)`)
var setupSecret = regexp.MustCompile(`(?m)^    (\S+)$`)

// start runs the program and waits until it says where it serves.
func (w *world) start() error {
	w.log = &lockedBuffer{}
	w.cmd = exec.Command(w.binary, "serve", "--listen", "127.0.0.1:0", "--public-url", "http://shop.test", "--allow-unsafe-postgres", "--insecure-http")
	w.cmd.Env = append(os.Environ(), "BENCHTAG_DATA="+filepath.Join(w.folder, "data"), "BENCHTAG_POSTGRES="+w.postgres, "BENCHTAG_PASSWORD_COST=least")
	w.cmd.Env = append(w.cmd.Env, w.env...)
	w.cmd.Stderr = w.log
	if err := w.cmd.Start(); err != nil {
		return err
	}
	deadline := time.Now().Add(30 * time.Second)
	for time.Now().Before(deadline) {
		if m := servingAt.FindStringSubmatch(w.log.String()); m != nil {
			w.address = m[1]
			return w.prepareClient()
		}
		time.Sleep(10 * time.Millisecond)
	}
	return fmt.Errorf("the server did not start:\n%s", w.log.String())
}

func (w *world) prepareClient() error {
	jar, err := cookiejar.New(nil)
	if err != nil {
		return err
	}
	client := &http.Client{Jar: jar, Timeout: 30 * time.Second}
	if w.story == nil {
		w.story = newStory(w.address, client, time.Now)
		w.story.check = w.holdToContract
	}
	w.base = w.address
	w.router, err = contract()
	return err
}

func (w *world) stop() {
	_ = w.cmd.Process.Kill()
	_ = w.cmd.Wait()
}

// restart stops the server in good order and starts it again.
func (w *world) restart([]string) error {
	_ = w.cmd.Process.Signal(os.Interrupt)
	if err := w.cmd.Wait(); err != nil {
		return fmt.Errorf("the server did not stop in good order: %w\n%s", err, w.log.String())
	}
	return w.start()
}

// kill ends the server as a power cut would, and starts it again.
func (w *world) kill([]string) error {
	w.stop()
	return w.start()
}

// rest DURATION: lets time pass, for what is only good for a while.
func (w *world) rest(args []string) error {
	pause, err := time.ParseDuration(args[0])
	if err == nil {
		time.Sleep(pause)
	}
	return err
}

// runCommand runs the program itself: run export --shop demo.
func (w *world) runCommand(args []string) error {
	cmd := exec.Command(w.binary, args...)
	cmd.Env = append(os.Environ(), "BENCHTAG_DATA="+filepath.Join(w.folder, "data"), "BENCHTAG_POSTGRES="+w.postgres)
	out, err := cmd.CombinedOutput()
	w.status, w.body = 0, out
	return err
}

// setup SLUG CURRENCY: sets the shop up with the printed secret; the owner
// signs in as "owner".
func (w *world) setup(args []string) error {
	m := setupSecret.FindStringSubmatch(w.log.String())
	if m == nil {
		return fmt.Errorf("no set-up secret was printed")
	}
	body := fmt.Sprintf(`{"secret":%q,"shop_name":"Lindqvist Two-Wheel Works","slug":%q,"currency":%q,"time_zone":"Europe/Vienna","owner_name":"Owner","login":"owner","password":%q}`, m[1], args[0], args[1], ownerPassword)
	w.vars["SLUG"] = args[0]
	if err := w.call(http.MethodPost, "/v1/setup", body, nil); err != nil {
		return err
	}
	if err := w.wantStatus([]string{"201"}); err != nil {
		return err
	}
	return w.keepToken("owner", person{shop: args[0], login: "owner", password: ownerPassword})
}

// holdToContract makes sure that every answer of the API is one the contract
// promises.
func (w *world) holdToContract(req *http.Request, res *http.Response, body []byte) error {
	if !strings.HasPrefix(req.URL.Path, "/v1/") {
		return nil
	}
	probe := req.Clone(req.Context())
	probe.URL = &url.URL{Path: req.URL.Path}
	route, params, err := w.router.FindRoute(probe)
	if err != nil {
		return nil // an address that is not there answers 404
	}
	in := &openapi3filter.ResponseValidationInput{
		RequestValidationInput: &openapi3filter.RequestValidationInput{Request: req, Route: route, PathParams: params},
		Status:                 res.StatusCode, Header: res.Header,
		Options: &openapi3filter.Options{IncludeResponseStatus: true, MultiError: true},
	}
	if strings.HasPrefix(res.Header.Get("Content-Type"), "text/csv") || strings.HasPrefix(res.Header.Get("Content-Type"), "application/x-ndjson") {
		in.Options.ExcludeResponseBody = true
	}
	in.SetBodyBytes(body)
	if err := openapi3filter.ValidateResponse(req.Context(), in); err != nil {
		return fmt.Errorf("the answer is not what the contract promises: %w", err)
	}
	return nil
}

// crew: an advisor (bruno) and two technicians who ride (cleo, dario) join,
// sign in, and the shop gets a tax of 20 % and a
// torque wrench in calibration (WRENCH). Acts as bruno.
func (w *world) crew([]string) error {
	return w.tell(`
as owner
get /v1/tax-categories
let TAX items.0.id
change /v1/tax-categories/${TAX} '{"code":"standard","label":"Tax 20 %","rate_ppm":200000}'
status 200
post /v1/staff '{"login":"bruno","name":"Bruno","roles":["advisor"],"password":"a kettle on the hill at dawn"}'
status 201
let BRUNO id
post /v1/staff '{"login":"cleo","name":"Cleo","roles":["technician"],"password":"nine swans cross the canal","rides":true}'
status 201
let CLEO id
post /v1/staff '{"login":"dario","name":"Dario","roles":["technician"],"password":"tin roof and heavy rain","rides":true}'
status 201
let DARIO id
post /v1/gauges '{"name":"Wrench 2","kind":"torque wrench","resolution":{"entered":"1 Nm"},"uncertainty":{"entered":"2 Nm"},"calibrated_on":"${today-30}","calibration_due_on":"${today+300}"}'
status 201
let WRENCH id
signin cleo ${SLUG} cleo 'nine swans cross the canal'
signin dario ${SLUG} dario 'tin roof and heavy rain'
signin bruno ${SLUG} bruno 'a kettle on the hill at dawn'
`, nil)
}

// visit: a customer, a machine and a work order with intake facts; keeps
// CUSTOMER, MACHINE and ORDER. Acts as whoever acts.
func (w *world) visit([]string) error {
	return w.tell(`
post /v1/customers '{"name":"Mara Ostrander","phone":"+43 660 5550123","email":"mara@example.test"}'
status 201
let CUSTOMER id
post /v1/machines '{"customer_id":"${CUSTOMER}","make":"Varga","model":"Tourist 500","year":2014,"plate":"LN-204X"}'
status 201
let MACHINE id
post /v1/work-orders '{"machine_id":"${MACHINE}","customer_id":"${CUSTOMER}","promised_on":"${today+1}"}'
status 201
let ORDER id
put /v1/work-orders/${ORDER}/intake-facts '{"odometer":{"entered":"18250 km"},"keys":1,"leave_to_ride":"yes","old_parts":"return"}'
status 201
`, nil)
}

// gates CODE …: the move was refused for exactly these reasons, in any order.
func (w *world) wantGates(args []string) error {
	var p struct{ Gates []struct{ Code string } }
	if err := json.Unmarshal(w.body, &p); err != nil {
		return err
	}
	got := map[string]bool{}
	for _, g := range p.Gates {
		got[g.Code] = true
	}
	for _, code := range args {
		if !got[code] {
			return fmt.Errorf("gate %s is not among those unmet", code)
		}
		delete(got, code)
	}
	if w.status != http.StatusConflict || len(got) > 0 {
		return fmt.Errorf("status %d; other gates unmet: %v", w.status, got)
	}
	return nil
}

// problem STATUS CODE: the last request was refused so.
func (w *world) wantProblem(args []string) error {
	if err := w.wantStatus(args[:1]); err != nil {
		return err
	}
	return w.want([]string{"code", args[1]})
}

// want PATH VALUE: a value of the last answer is this.
func (w *world) want(args []string) error {
	value, err := w.at(args[0])
	if err != nil {
		return err
	}
	if value != args[1] {
		return fmt.Errorf("%s is %q, want %q", args[0], value, args[1])
	}
	return nil
}

// has TEXT: the last answer holds a text.
func (w *world) has(args []string) error {
	if !bytes.Contains(w.body, []byte(args[0])) {
		return fmt.Errorf("the answer does not hold %q", args[0])
	}
	return nil
}
