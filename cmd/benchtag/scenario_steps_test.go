package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"path/filepath"
	"strings"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/auth/secret"
	"benchtag/internal/store"
)

// moreSteps are steps of a story that only tests need.
func moreSteps() map[string]func(*world, []string) error {
	return map[string]func(*world, []string) error{
		"send": (*world).sendRaw, "neighbour": (*world).neighbour, "signon": (*world).signOn, "done": (*world).done,
		"set": func(w *world, args []string) error { return w.story.set(args) },
	}
}

// sendRaw METHOD PATH BODY [Header:value …]: a request with just these headers
// and the sign-in of whoever acts; ” is no body.
func (w *world) sendRaw(args []string) error {
	if len(args) < 3 {
		return errors.New("give method, address and body")
	}
	header := http.Header{}
	if p, ok := w.people[w.who]; ok {
		header.Set("Authorization", "Bearer "+p.token)
	}
	for _, pair := range args[3:] {
		name, value, _ := strings.Cut(pair, ":")
		header.Set(name, value)
	}
	if args[2] == "" {
		return w.story.send(args[0], args[1], nil, header)
	}
	return w.story.send(args[0], args[1], strings.NewReader(args[2]), header)
}

// neighbour SLUG: another shop in the same database, which no command of the
// program makes yet; its owner signs in as the shop's own would, by the name
// SLUG.
func (w *world) neighbour(args []string) error {
	s, err := store.Open(store.Options{Folder: filepath.Join(w.folder, "data"), PostgresURL: w.postgres})
	if err != nil {
		return err
	}
	defer func() { _ = s.Close() }()
	hash, err := newHasher(secret.LeastParams())
	if err != nil {
		return err
	}
	a := app.New(app.Options{Store: s, Source: source{}, Hasher: hash})
	_, _, err = a.CreateShop(context.Background(), app.NewShop{Name: "Moorfield Cycles", Slug: args[0], Currency: "USD",
		TimeZone: "America/Chicago", OwnerName: "Neighbour", Login: "owner", Password: ownerPassword})
	if err != nil {
		return err
	}
	return w.signIn([]string{args[0], args[0], "owner", ownerPassword})
}

// signOn NAME STAFF PIN: signs on at this client's tablet and acts as NAME.
func (w *world) signOn(args []string) error {
	w.who = "nobody"
	body := fmt.Sprintf(`{"staff_id":%q,"pin":%q}`, args[1], args[2])
	if err := w.call(http.MethodPost, "/v1/tablet/sign-on", body, nil); err != nil {
		return err
	}
	if err := w.wantStatus([]string{"200"}); err != nil {
		return err
	}
	token, err := w.at("access_token")
	if err != nil {
		return err
	}
	w.people[args[0]], w.who = person{token: token, until: time.Now().Add(accessLife)}, args[0]
	return nil
}

// done JOB: marks every agreed line of a job as done.
func (w *world) done(args []string) error {
	if err := w.get([]string{"/v1/jobs/" + args[0] + "/lines?limit=100"}); err != nil {
		return err
	}
	var lines struct{ Items []struct{ ID, State string } }
	if err := json.Unmarshal(w.body, &lines); err != nil {
		return err
	}
	marked := 0
	for _, l := range lines.Items {
		if l.State != "agreed" {
			continue
		}
		if err := w.post([]string{"/v1/jobs/" + args[0] + "/lines/" + l.ID + "/done"}); err != nil {
			return err
		}
		if err := w.wantStatus([]string{"200"}); err != nil {
			return err
		}
		marked++
	}
	if marked == 0 {
		return errors.New("no line of the job is agreed and left to do")
	}
	return nil
}
