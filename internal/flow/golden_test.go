package flow_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/flow"
)

var update = flag.Bool("update", false, "write the golden file anew")

func TestTableGolden(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	cells := 0
	for _, s := range flow.Stages() {
		for _, m := range flow.Moves() {
			cells++
			to, ok := flow.Leads(s, m)
			if !ok {
				fmt.Fprintf(&b, "%s x %s: -\n", s, m)
				continue
			}
			fmt.Fprintf(&b, "%s x %s: -> %s\n", s, m, to)
			for _, c := range flow.RulesFor(s, m) {
				mark := ""
				if flow.Safety(c) {
					mark = " (safety)"
				}
				fmt.Fprintf(&b, "\t%s%s\n", c, mark)
			}
		}
	}
	if want := len(flow.Stages()) * len(flow.Moves()); cells != want || cells == 0 {
		t.Fatalf("%d cells printed, want %d", cells, want)
	}
	path := filepath.Join("testdata", "table.golden")
	if *update {
		if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), b.String()); diff != "" {
		t.Errorf("the path changed (-golden +now):\n%s", diff)
	}
}

func TestEveryStageIsReachedAndOnlyTwoAreFinal(t *testing.T) {
	t.Parallel()
	seen := map[flow.Stage]bool{flow.Intake: true}
	queue := []flow.Stage{flow.Intake}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for _, m := range flow.MovesFrom(at) {
			to, _ := flow.Leads(at, m)
			if !seen[to] {
				seen[to] = true
				queue = append(queue, to)
			}
		}
	}
	for _, s := range flow.Stages() {
		if !seen[s] {
			t.Errorf("%s is never reached", s)
		}
		final := len(flow.MovesFrom(s)) == 0
		if want := s == flow.Closed || s == flow.Withdrawn; final != want || s.Final() != want {
			t.Errorf("%s: no way on = %v, Final = %v, want %v", s, final, s.Final(), want)
		}
	}
}

func TestFinalStagesAreReachableFromEverywhere(t *testing.T) {
	t.Parallel()
	for _, start := range flow.Stages() {
		seen := map[flow.Stage]bool{start: true}
		queue := []flow.Stage{start}
		for len(queue) > 0 {
			for _, m := range flow.MovesFrom(queue[0]) {
				to, _ := flow.Leads(queue[0], m)
				if !seen[to] {
					seen[to] = true
					queue = append(queue, to)
				}
			}
			queue = queue[1:]
		}
		if !seen[flow.Closed] && start != flow.Withdrawn {
			t.Errorf("no way from %s to closed", start)
		}
	}
}

func TestWithdrawFromEveryStageBeforeRelease(t *testing.T) {
	t.Parallel()
	for _, s := range flow.Stages() {
		_, ok := flow.Leads(s, flow.Withdraw)
		if want := s != flow.Release && !s.Final(); ok != want {
			t.Errorf("withdraw from %s = %v, want %v", s, ok, want)
		}
	}
}

func TestUnknownMoves(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name string
		from flow.Stage
		move flow.Move
	}{
		{"no such cell", flow.Intake, flow.Close},
		{"final", flow.Closed, flow.BackToRepair},
		{"no such move", flow.Repair, "teleport"},
		{"no such stage", "limbo", flow.Close},
		{"nothing", "", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			to, gates, err := flow.Next(tt.from, tt.move, good())
			if err == nil || to != tt.from || gates != nil {
				t.Fatalf("Next = %v, %v, %v; want an error and the same stage", to, gates, err)
			}
			checkConflict(t, err, "flow.move_unknown")
		})
	}
}

func TestLeast(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name string
		in   []flow.Stage
		want flow.Stage
	}{
		{"none", nil, flow.Intake},
		{"one", []flow.Stage{flow.Repair}, flow.Repair},
		{"least", []flow.Stage{flow.Closed, flow.Teardown, flow.Release}, flow.Teardown},
		{"withdrawn and closed", []flow.Stage{flow.Withdrawn, flow.Closed}, flow.Closed},
		{"all withdrawn", []flow.Stage{flow.Withdrawn, flow.Withdrawn}, flow.Withdrawn},
		{"withdrawn and open", []flow.Stage{flow.Withdrawn, flow.RoadTest}, flow.RoadTest},
		{"strange word", []flow.Stage{"limbo", flow.Repair}, flow.Repair},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			if got := flow.Least(tt.in); got != tt.want {
				t.Errorf("Least(%v) = %s, want %s", tt.in, got, tt.want)
			}
		})
	}
}
