package main

import (
	"encoding/json"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/flow"
)

// stagesOf counts the jobs of a shop by stage.
func stagesOf(t *testing.T, address, token string) map[string]int {
	t.Helper()
	count := map[string]int{}
	var orders struct{ Items []struct{ ID string } }
	_, body := ask(t, http.MethodGet, address+"/v1/work-orders?limit=100", token, nil)
	if err := json.Unmarshal(body, &orders); err != nil {
		t.Fatalf("%v: %s", err, body)
	}
	for _, o := range orders.Items {
		var jobs struct{ Items []struct{ Stage string } }
		_, body := ask(t, http.MethodGet, address+"/v1/work-orders/"+o.ID+"/jobs", token, nil)
		if err := json.Unmarshal(body, &jobs); err != nil {
			t.Fatalf("%v: %s", err, body)
		}
		for _, j := range jobs.Items {
			count[j.Stage]++
		}
	}
	return count
}

// TestDemo starts the demo and tries all that it prints.
func TestDemo(t *testing.T) {
	t.Parallel()
	folder := filepath.Join(t.TempDir(), "shop")
	p := startProgram(t, "demo", "--listen", "127.0.0.1:0", "--folder", folder)
	address := p.serving(t)
	eventually(t, "all is printed", func() bool { return strings.Contains(p.out.String(), "Stop with Ctrl-C.") })
	printed := p.out.String()

	t.Run("jobs at every stage", func(t *testing.T) {
		count := stagesOf(t, address, signInAs(t, address, demoSlug, "bruno", demoPassword).Access)
		total := 0
		for _, n := range count {
			total += n
		}
		if total < 12 {
			t.Errorf("%d jobs, want a dozen at least", total)
		}
		for _, s := range flow.Stages() {
			if count[string(s)] == 0 {
				t.Errorf("no job in %s", s)
			}
		}
	})
	t.Run("everybody signs in", func(t *testing.T) {
		for _, login := range []string{"ada", "cleo", "dario"} {
			signInAs(t, address, demoSlug, login, demoPassword)
		}
	})
	t.Run("jobs work by a machine map", func(t *testing.T) { workByMaps(t, address) })
	t.Run("the customer's link opens", func(t *testing.T) {
		link := regexp.MustCompile(`(?m)^ +(http\S+/c/\S+)$`).FindStringSubmatch(printed)
		if link == nil || !strings.HasPrefix(link[1], address) {
			t.Fatalf("no link of this server is printed:\n%s", printed)
		}
		status, page := ask(t, http.MethodGet, link[1], "", nil)
		if status != http.StatusOK || !strings.Contains(string(page), "cam chain") {
			t.Errorf("status %d:\n%s", status, page)
		}
		pictures := regexp.MustCompile(`<img [^>]*src="([^"]+)"`).FindAllStringSubmatch(string(page), -1)
		if len(pictures) != len(demoPictures()) {
			t.Errorf("%d pictures on the page, want %d", len(pictures), len(demoPictures()))
		}
		for _, p := range pictures {
			if status, body := ask(t, http.MethodGet, address+p[1], "", nil); status != http.StatusOK || len(body) == 0 {
				t.Errorf("%s: status %d, %d bytes", p[1], status, len(body))
			}
		}
	})
	t.Run("the printed lines", func(t *testing.T) { tryPrinted(t, printed) })
	t.Run("the README's tour", func(t *testing.T) { walkTour(t, address, folder) })
	t.Run("all was told in the past", func(t *testing.T) { toldInThePast(t, address) })
	t.Run("a second one on the same port", func(t *testing.T) {
		code, _, said := runToEnd(t, "demo", "--listen", strings.TrimPrefix(address, "http://"))
		if code == 0 || !strings.Contains(said, "something listens on") || !strings.Contains(said, "--listen") {
			t.Errorf("exit code %d, and it says %q", code, said)
		}
	})
	t.Run("a second one in the same folder", func(t *testing.T) {
		code, _, said := runToEnd(t, "demo", "--listen", "127.0.0.1:0", "--folder", folder)
		if code == 0 || !strings.Contains(said, "is not empty") {
			t.Errorf("exit code %d, and it says %q", code, said)
		}
	})
	if err := p.cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	if code := p.ended(t); code != 0 {
		t.Errorf("Ctrl-C ends it with %d:\n%s", code, p.err)
	}
	t.Run("what a server of it logs", func(t *testing.T) { logsNoSecrets(t, folder, printed) })
}

// workByMaps makes sure that jobs of the demo follow a machine map, and that
// what was measured on them graded itself by its example figures.
func workByMaps(t *testing.T, address string) {
	token := signInAs(t, address, demoSlug, "bruno", demoPassword).Access
	read := func(path string, into any) {
		t.Helper()
		status, body := ask(t, http.MethodGet, address+path, token, nil)
		if err := json.Unmarshal(body, into); err != nil || status != http.StatusOK {
			t.Fatalf("%s: %d, %v: %.300s", path, status, err, body)
		}
	}
	var orders struct{ Items []struct{ ID string } }
	read("/v1/work-orders?limit=100", &orders)
	mapped, graded := 0, 0
	for _, o := range orders.Items {
		var jobs struct {
			Items []struct {
				ID       string
				LayoutID *string `json:"layout_id"`
			}
		}
		read("/v1/work-orders/"+o.ID+"/jobs", &jobs)
		for _, j := range jobs.Items {
			if j.LayoutID == nil {
				continue
			}
			mapped++
			var measured struct{ Items []struct{ Grade *int } }
			read("/v1/jobs/"+j.ID+"/measurements", &measured)
			for _, m := range measured.Items {
				if m.Grade != nil {
					graded++
				}
			}
		}
	}
	if mapped < 3 || graded < 3 {
		t.Errorf("%d jobs work by a map and %d measurements graded themselves, want three of each at least", mapped, graded)
	}
}

// tryPrinted pastes the printed lines into bash.
func tryPrinted(t *testing.T, printed string) {
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("needs bash")
	}
	lines := regexp.MustCompile(`(?m)^(TOKEN=|curl ).*$`).FindAllString(printed, -1)
	if len(lines) != 3 {
		t.Fatalf("%d lines to paste, want 3:\n%s", len(lines), printed)
	}
	out, err := exec.Command(bash, "-c", lines[0]+"\n"+lines[1]+"\necho\n"+lines[2]).Output()
	if err != nil {
		t.Fatal(err)
	}
	floor, moves, there := strings.Cut(strings.TrimSpace(string(out)), "\n")
	if !there {
		t.Fatalf("not two answers:\n%s", out)
	}
	var rows struct {
		Items []struct{ Title, Stage string }
	}
	if err := json.Unmarshal([]byte(floor), &rows); err != nil || len(rows.Items) < 9 {
		t.Errorf("the floor: %v: %s", err, floor)
	}
	var possible struct {
		Stage string
		Items []struct {
			Move  string
			Unmet []struct{ Code string }
		}
	}
	if err := json.Unmarshal([]byte(moves), &possible); err != nil || possible.Stage != "authorization" {
		t.Fatalf("the moves: %v: %s", err, moves)
	}
	for _, m := range possible.Items {
		if m.Move != "start_repair" {
			continue
		}
		if len(m.Unmet) != 1 || m.Unmet[0].Code != "repair.consent_missing" {
			t.Errorf("in the way of the repair: %+v, want the missing consent alone", m.Unmet)
		}
		return
	}
	t.Errorf("no way into repair: %s", moves)
}

// tourBlocks are the commands of the README's tour, each with the output that
// stands below it.
func tourBlocks(t *testing.T) (commands, outputs []string) {
	t.Helper()
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, tour, _ := strings.Cut(string(text), "\n## A tour\n")
	tour, _, there := strings.Cut(tour, "\n## ")
	if !there {
		t.Fatal("the README has no tour")
	}
	for _, m := range regexp.MustCompile("(?s)```sh\n(.*?)```\n\n```(?:json|text)\n(.*?)```").FindAllStringSubmatch(tour, -1) {
		commands, outputs = append(commands, m[1]), append(outputs, m[2])
	}
	return commands, outputs
}

// walkTour runs the README's tour and makes sure that it shows what it says.
func walkTour(t *testing.T, address, folder string) {
	for _, tool := range []string{"bash", "curl", "jq"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skip("needs " + tool)
		}
	}
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	commands, want := tourBlocks(t)
	if len(commands) < 5 {
		t.Fatalf("%d steps in the tour; has its form changed?", len(commands))
	}
	const mark = "== next step ==\n"
	script := strings.Join(commands, "\nprintf '"+strings.TrimSuffix(mark, "\n")+"\\n'\n")
	kept := regexp.MustCompile(`(?m)^go run \S+ demo .*\n`) // that demo is the one at hand
	script = kept.ReplaceAllString(script, "")
	script = strings.NewReplacer("http://127.0.0.1:8080", address, "go run ./cmd/benchtag", path, "/tmp/kestrel", folder).Replace(script)
	out, err := exec.Command("bash", "-c", script).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if diff := cmp.Diff(want, strings.Split(string(out), mark)); diff != "" {
		t.Errorf("the README shows something else (-README +now):\n%s", diff)
	}
}

// toldInThePast makes sure that no moment of the demo lies ahead of the clock.
func toldInThePast(t *testing.T, address string) {
	token := signInAs(t, address, demoSlug, "bruno", demoPassword).Access
	var orders struct {
		Items []struct {
			Number   int
			OpenedAt time.Time  `json:"opened_at"`
			ClosedAt *time.Time `json:"closed_at"`
		}
	}
	_, body := ask(t, http.MethodGet, address+"/v1/work-orders?limit=100", token, nil)
	if err := json.Unmarshal(body, &orders); err != nil || len(orders.Items) == 0 {
		t.Fatalf("%v: %s", err, body)
	}
	days := map[string]bool{}
	for _, o := range orders.Items {
		days[o.OpenedAt.Format(time.DateOnly)] = true
		if o.OpenedAt.After(time.Now()) || o.ClosedAt != nil && (o.ClosedAt.After(time.Now()) || o.ClosedAt.Before(o.OpenedAt)) {
			t.Errorf("work order %d: opened %v, closed %v", o.Number, o.OpenedAt, o.ClosedAt)
		}
	}
	if len(days) < 6 {
		t.Errorf("the work orders came in on %d days, want them spread over weeks", len(days))
	}
}

// logsNoSecrets serves the demo's folder and looks at what that logs.
func logsNoSecrets(t *testing.T, folder, printed string) {
	link := regexp.MustCompile(`/c/(\S+)`).FindStringSubmatch(printed)
	p := startProgram(t, "serve", "--data", folder, "--listen", "127.0.0.1:0", "--log-format", "json")
	address := p.serving(t)
	got := signInAs(t, address, demoSlug, "bruno", demoPassword)
	const wrong = "not the password at all"
	for _, one := range []struct {
		method, path, token string
		body                any
		want                int
	}{
		{http.MethodPost, "/v1/sign-in", "", map[string]string{"shop": demoSlug, "login": "bruno", "password": wrong}, http.StatusUnauthorized},
		{http.MethodGet, "/v1/search?q=Finchmoor", got.Access, nil, http.StatusOK},
		{http.MethodGet, "/v1/customers?q=5550191", got.Access, nil, http.StatusBadRequest},
		{http.MethodGet, "/v1/customers", got.Access, nil, http.StatusOK},
		{http.MethodGet, "/v1/history", got.Access, nil, http.StatusForbidden},
		{http.MethodGet, "/c/" + link[1], "", nil, http.StatusOK},
		{http.MethodPost, "/v1/refresh", "", map[string]string{"refresh_token": got.Refresh}, http.StatusOK},
		{http.MethodGet, "/v1/nowhere/Greta", got.Access, nil, http.StatusNotFound},
	} {
		if status, body := ask(t, one.method, address+one.path, one.token, one.body); status != one.want {
			t.Errorf("%s %s: %d, want %d: %.300s", one.method, one.path, status, one.want, body)
		}
	}
	log := p.err.String()
	if !strings.Contains(log, `"route":"/v1/sign-in"`) {
		t.Fatalf("nothing was logged:\n%s", log)
	}
	var found []string
	for _, secret := range []string{got.Access, got.Refresh, link[1], demoPassword, wrong, "Finchmoor", "Greta", "5550191", "example.test", "bruno"} {
		if strings.Contains(log, secret) {
			found = append(found, secret)
		}
	}
	if diff := cmp.Diff([]string(nil), found); diff != "" {
		t.Errorf("the log holds what it must not (-want +got):\n%s\n%s", diff, log)
	}
}
