package storetest

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
	"benchtag/internal/store"
)

// What a child process that is to be killed reads from its environment.
const (
	crashFolder = "BENCHTAG_CRASH_FOLDER"
	crashURL    = "BENCHTAG_CRASH_URL"
	crashRound  = "BENCHTAG_CRASH_ROUND"
)

// IsCrashChild reports whether this process is a child to be killed.
func IsCrashChild() bool { return os.Getenv(crashRound) != "" }

// CrashChild writes for ever and says each id once its commit came back.
func CrashChild(t *testing.T) {
	round, err := strconv.Atoi(os.Getenv(crashRound))
	if err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(store.Options{Folder: os.Getenv(crashFolder), PostgresURL: os.Getenv(crashURL)})
	if err != nil {
		t.Fatal(err)
	}
	out := os.NewFile(1, "stdout")
	for n := 0; ; n++ {
		row := bay(0x100+round, n, "acknowledged")
		err := s.Write(context.Background(), ShopOf(1), func(_ context.Context, tx app.Tx) error {
			head, err := tx.Lock(crashStream())
			if err != nil {
				return err
			}
			if err := tx.Insert(row); err != nil {
				return err
			}
			return note(tx, head, testID(1, 1))
		})
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(out, "ack %s\n", row.ID)
	}
}

func crashStream() journal.Stream {
	return journal.Stream{ShopID: string(ShopOf(1)), Kind: journal.WorkOrder, ID: testID(1, 2)}
}

// Crash kills a writing process so many times, each after a few commits, and
// proves that nothing acknowledged was lost and nothing half done stayed.
func Crash(t *testing.T, b *Backend, rounds int, childTest string) {
	NewShop(t, b, 1)
	var acked []string
	for round := range rounds {
		got := killed(t, b, round, childTest)
		if len(got) == 0 {
			t.Fatal("the child acknowledged nothing")
		}
		acked = append(acked, got...)
	}
	// Taking the head waits for a commit that was under way at the last kill.
	entries := VerifyStream(t, b, crashStream())
	present := map[string]bool{}
	after := ""
	for {
		var page []shop.Bay
		read(t, b, ShopOf(1), func(tx app.Tx) error { return tx.List(&page, nil, app.Page{After: after}) })
		if len(page) == 0 {
			break
		}
		for _, r := range page {
			present[string(r.ID)] = true
		}
		after = string(page[len(page)-1].ID)
	}
	if lost := slices.DeleteFunc(slices.Clone(acked), func(id string) bool { return present[id] }); len(lost) > 0 {
		t.Errorf("%d of %d acknowledged rows are lost, e.g. %s", len(lost), len(acked), lost[0])
	}
	if entries != len(present) {
		t.Errorf("%d rows stand beside %d journal entries; each was written with one", len(present), entries)
	}
	t.Logf("%d acknowledged, %d stored, %d kills", len(acked), len(present), rounds)
	if !b.Postgres {
		soundFile(t, b)
	}
}

func soundFile(t *testing.T, b *Backend) {
	for question, want := range map[string]string{"PRAGMA integrity_check": "ok", "SELECT count(*) FROM pragma_foreign_key_check": "0"} {
		var said string
		if err := b.Raw.QueryRowContext(t.Context(), question).Scan(&said); err != nil || said != want {
			t.Errorf("%s says %q (%v)", question, said, err)
		}
	}
}

// killed runs a child, kills it while it writes, and gives what it
// acknowledged.
func killed(t *testing.T, b *Backend, round int, childTest string) []string {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), os.Args[0], "-test.run=^"+childTest+"$")
	cmd.Env = append(os.Environ(), crashRound+"="+strconv.Itoa(round),
		crashFolder+"="+b.Options.Folder, crashURL+"="+b.Options.PostgresURL)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var acked []string
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		var id string
		if _, err := fmt.Sscanf(lines.Text(), "ack %s", &id); err != nil {
			t.Errorf("the child says %q", lines.Text())
			continue
		}
		acked = append(acked, id)
		if len(acked) == 3 {
			// The moment of the kill falls anywhere in a transaction.
			time.AfterFunc(time.Duration(round*977%10_000)*time.Microsecond, func() { _ = cmd.Process.Kill() })
		}
	}
	if err := cmd.Wait(); err == nil {
		t.Error("the child ended by itself")
	}
	// A line cut short by the kill was never received whole.
	return slices.DeleteFunc(acked, func(id string) bool { return !store.IsID(id) })
}
