package figures_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/figures"
)

func TestApprove(t *testing.T) {
	t.Parallel()
	got, err := figures.Approve([]figures.Asked{
		{minute(0), figures.Accepted, until(10)}, {minute(0), figures.Accepted, until(30)}, {minute(5), figures.Declined, until(25)},
		{minute(0), figures.Accepted, until(90)}, {minute(0), figures.Lapsed, until(60)}, {minute(50), figures.Open, nil},
	}, minute(100), .95)
	if err != nil {
		t.Fatal(err)
	}
	if got.Asked != 6 || got.Accepted != 3 || got.Declined != 1 || got.Lapsed != 1 || got.Open != 1 {
		t.Errorf("%+v", got)
	}
	if !near(*got.Rate.Share, .75, 1e-12) || got.Rate.Trials != 4 {
		t.Errorf("rate %+v", got.Rate)
	}
	// Decided after 10, 20, 30 and 90 minutes; 50 open and 60 lapsed minutes.
	if *got.MedianSeconds != 25*aMinute || !near(*got.WaitingMedian, 30*60, 1e-9) {
		t.Errorf("medians %v and %v", got.MedianSeconds, *got.WaitingMedian)
	}
	none, err := figures.Approve(nil, minute(0), .95)
	if err != nil || none.MedianSeconds != nil || none.WaitingMedian != nil || none.Rate.Share != nil {
		t.Errorf("nobody asked: %+v, %v", none, err)
	}
}

func TestApproveRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		code, pointer string
		asked         figures.Asked
	}{
		{"figures.decision_unknown", "/offers/0/decision", figures.Asked{minute(0), "perhaps", nil}},
		{"figures.decided_missing", "/offers/0/decided_at", figures.Asked{minute(0), figures.Accepted, nil}},
		{"figures.decided_missing", "/offers/0/decided_at", figures.Asked{minute(0), figures.Open, until(1)}},
		{"figures.time_backwards", "/offers/0/asked_at", figures.Asked{minute(5), figures.Accepted, until(1)}},
		{"figures.time_backwards", "/offers/0/asked_at", figures.Asked{minute(0), figures.Accepted, until(101)}},
		{"figures.time_backwards", "/offers/0/asked_at", figures.Asked{minute(101), figures.Open, nil}},
		{"figures.time_outside", "/offers/0/asked_at", figures.Asked{minute(0).AddDate(-11, 0, 0), figures.Open, nil}},
	} {
		_, err := figures.Approve([]figures.Asked{c.asked}, minute(100), .95)
		if code, at := codeOf(err); code != c.code || at != c.pointer {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

// The enum is complete: every decision is counted once and only once.
func TestEveryDecisionIsCounted(t *testing.T) {
	t.Parallel()
	for _, d := range figures.Decisions() {
		a := figures.Asked{AskedAt: minute(0), Decision: d}
		if d != figures.Open {
			a.DecidedAt = until(1)
		}
		got, err := figures.Approve([]figures.Asked{a}, minute(2), .95)
		if err != nil || got.Accepted+got.Declined+got.Lapsed+got.Open != 1 {
			t.Errorf("%s: %+v, %v", d, got, err)
		}
	}
}

func TestComeBack(t *testing.T) {
	t.Parallel()
	day := 24 * 60
	got, err := figures.ComeBack([]figures.Released{
		{"twin", "chain", minute(0), until(3 * day)}, {"twin", "chain", minute(0), nil}, {"twin", "bearing", minute(0), nil}, {"twin", "", minute(8 * day), nil},
		{"single", "seal", minute(0), nil},
	}, minute(10*day), .95)
	if err != nil {
		t.Fatal(err)
	}
	if got.Rate.Hits != 1 || got.Rate.Trials != 5 || !near(*got.Rate.Share, .2, 1e-12) {
		t.Errorf("rate %+v", got.Rate)
	}
	// The one closed two days ago was not at risk on the third day.
	if len(got.Curve.Steps) != 1 || got.Curve.Steps[0].AtRisk != 4 || !near(got.Curve.Steps[0].Survival, .75, 1e-12) || got.Curve.Steps[0].Time != 3 {
		t.Errorf("curve %+v", got.Curve)
	}
	if len(got.Causes) != 2 || got.Causes[0].Layout != "single" || got.Causes[1].Jobs != 4 || got.Causes[1].Named != 3 {
		t.Fatalf("causes %+v", got.Causes)
	}
	twin := got.Causes[1].Causes
	if len(twin) != 2 || twin[0].Cause != "chain" || twin[0].Share.Hits != 2 || twin[0].Share.Trials != 3 || twin[1].Cause != "bearing" {
		t.Errorf("causes of the twin %+v", twin)
	}
}

func TestComeBackRefuses(t *testing.T) {
	t.Parallel()
	for code, r := range map[string]figures.Released{
		"figures.time_backwards": {ClosedAt: minute(5), BackAt: until(1)},
		"figures.time_outside":   {ClosedAt: minute(0).AddDate(-101, 0, 0)},
	} {
		_, err := figures.ComeBack([]figures.Released{r}, minute(100), .95)
		if got, _ := codeOf(err); got != code {
			t.Errorf("%v, want %s", err, code)
		}
	}
	_, err := figures.ComeBack([]figures.Released{{ClosedAt: minute(101)}}, minute(100), .95)
	if got, _ := codeOf(err); got != "figures.time_backwards" {
		t.Error(err)
	}
}

// More comebacks never lower the rate or its interval, nor lift the curve.
func TestMoreComebacks(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		jobs := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) figures.Released {
			r := figures.Released{Layout: rapid.SampledFrom([]string{"x", "y"}).Draw(t, "layout"), Cause: rapid.SampledFrom([]string{"", "p", "q"}).Draw(t, "cause"), ClosedAt: minute(rapid.IntRange(0, 500).Draw(t, "closed"))}
			if rapid.Bool().Draw(t, "back") {
				r.BackAt = until(rapid.IntRange(500, 1000).Draw(t, "at"))
			}
			return r
		}), 1, 20).Draw(t, "jobs")
		before, err := figures.ComeBack(jobs, minute(1000), .95)
		if err != nil {
			t.Fatal(err)
		}
		more := slices.Clone(jobs)
		i := rapid.IntRange(0, len(jobs)-1).Draw(t, "which")
		if more[i].BackAt == nil {
			more[i].BackAt = until(rapid.IntRange(500, 1000).Draw(t, "then"))
		}
		after, err := figures.ComeBack(more, minute(1000), .95)
		if err != nil {
			t.Fatal(err)
		}
		if *after.Rate.Share < *before.Rate.Share || after.Rate.Wilson.Low < before.Rate.Wilson.Low || after.Rate.Wilson.High < before.Rate.Wilson.High {
			t.Fatalf("from %v to %v", *before.Rate.Share, *after.Rate.Share)
		}
		var jobsIn, named int64
		for _, l := range after.Causes {
			jobsIn += l.Jobs
			var sum int64
			for _, c := range l.Causes {
				sum += c.Share.Hits
			}
			if sum != l.Named {
				t.Fatalf("%+v", l)
			}
			named += sum
		}
		if jobsIn != int64(len(jobs)) || named > jobsIn {
			t.Fatalf("%d of %d", jobsIn, len(jobs))
		}
	})
}
