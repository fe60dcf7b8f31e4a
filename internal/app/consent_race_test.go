package app_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"sync"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/money"
	"benchtag/internal/shop"
	"benchtag/internal/testkit"
)

// races is how many schedules are tried: a thousand in process; on PostgreSQL,
// where each takes longer, fewer.
func races() int {
	if os.Getenv(testkit.ServerVariable) != "" {
		return 100
	}
	return 1000
}

// What is agreed to is what was shown: a customer answers while the shop
// changes the price, the words or the lines, strikes, offers anew or withdraws,
// in a thousand random schedules. Whatever comes first, there is at most one
// answer, it is to the bytes that were shown, and the lines under it are as
// those bytes say; a refused answer left nothing behind.
func TestAThousandRaces(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	rng := rand.New(rand.NewPCG(7, 71))
	agreed, refused := 0, 0
	for range races() {
		r := b.newRace()
		var under sync.WaitGroup
		for _, do := range r.disturbers(rng) {
			under.Go(do)
		}
		under.Go(r.answer(rng.IntN(2) == 0))
		under.Wait()
		if r.check() {
			agreed++
		} else {
			refused++
		}
	}
	if agreed < races()/20 || refused < races()/20 {
		t.Errorf("%d agreed and %d refused: the schedules are no race", agreed, refused)
	}
}

// race is one offer that is answered while it is changed.
type race struct {
	*moneyBench
	job   shop.Job
	lines []shop.Line
	scope shop.Scope
	offer shop.Offer
	token string
	err   error
}

func (b *moneyBench) newRace() *race {
	b.t.Helper()
	r := &race{moneyBench: b, job: b.newJob("Race")}
	r.lines = []shop.Line{b.part(r.job, 10_000), b.part(r.job, 5_000)}
	r.scope = b.scope(shop.ScopeKindRepair, r.lines...)
	r.offer = b.offer(r.scope)
	r.token = b.token(r.offer)
	return r
}

// disturbers picks one to three changes out of those a shop can make.
func (r *race) disturbers(rng *rand.Rand) []func() {
	l := r.lines[rng.IntN(2)]
	at := app.Place{JobID: r.job.ID, ID: string(l.ID)}
	price := money.Amount(rng.IntN(30_000))
	put := func(fill func(*shop.Line)) func() {
		return func() {
			_, _, _ = r.app.PutLine(r.ctx, r.who, app.Put{JobID: r.job.ID, ID: string(l.ID), Match: 1, Digest: fmt.Sprint(price)}, fill)
		}
	}
	all := []func(){
		put(func(n *shop.Line) { n.UnitPrice = price }),
		put(func(n *shop.Line) { n.Description = "Another gear pair" }),
		put(func(n *shop.Line) { n.QuantityMilli = 2000 }),
		func() { _, _ = r.app.StrikeLine(r.ctx, r.who, at, "not needed") },
		func() {
			_, _ = r.app.MakeOffer(r.ctx, r.who, app.NewOffer{JobID: r.job.ID, ScopeIDs: []string{string(r.scope.ID)}, PriceUntil: r.day})
		},
		func() { _, _ = r.app.WithdrawOffer(r.ctx, r.who, r.offer.ID, "priced wrong") },
	}
	rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	return all[:1+rng.IntN(3)]
}

// answer says yes to what was shown, by the page or on the phone.
func (r *race) answer(byLink bool) func() {
	return func() {
		if byLink {
			_, r.err = r.app.LinkDecide(r.ctx, yes(r.token, r.offer, r.scope))
			return
		}
		_, r.err = r.app.RecordConsent(r.ctx, r.who, r.job.ID, r.spoken(r.offer, r.scope))
	}
}

// check looks at what is left and reports whether the yes was taken.
func (r *race) check() bool {
	r.t.Helper()
	given, err := r.app.Consents(r.ctx, r.who, r.job.ID, app.Page{})
	if err != nil || len(given) > 1 || (len(given) == 1) != (r.err == nil) {
		r.t.Fatalf("%d answers after %v, %v", len(given), r.err, err)
	}
	var doc app.OfferDocument
	if err := json.Unmarshal(r.offer.Document, &doc); err != nil {
		r.t.Fatal(err)
	}
	way := doc.Way(r.scope.ID)
	for _, was := range way.Lines {
		l := moneyLoad[shop.Line](r.moneyBench, string(was.LineID))
		if len(given) == 0 {
			if l.State == shop.LineStateAgreed || l.ConsentID != "" {
				r.t.Fatalf("nothing was agreed to, and the line is %+v", l)
			}
			continue
		}
		// A line may be struck after the yes; before it, it would not be under it.
		if l.ConsentID != given[0].ID || l.Description != was.Description || l.UnitPrice != was.High || l.QuantityMilli != 1000 {
			r.t.Fatalf("agreed to %+v, and the line is %+v", was, l)
		}
	}
	if len(given) == 0 {
		return false
	}
	if g := given[0]; g.ShownSHA256 != app.HashText(string(r.offer.Document)) || g.Gross != way.High.Gross || g.Net != way.High.Net {
		r.t.Fatalf("shown %+v, recorded %+v", way.High, g)
	}
	return true
}
