package token

import (
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"benchtag/internal/auth"
)

// Purpose says what a key is for. A key has one purpose and one algorithm
// (RFC 8725 section 3.1).
type Purpose string

// The purposes; both are for HMAC-SHA-256.
const (
	PurposeAccess  Purpose = "access"  // signs access tokens
	PurposeRefresh Purpose = "refresh" // derives the successors of refresh tokens
)

// Purposes lists every purpose.
func Purposes() []Purpose { return []Purpose{PurposeAccess, PurposeRefresh} }

// State says where in its life a key is. Its values are the words of the key
// file.
type State string

// The states of a key, in the order it passes through them.
const (
	// StateNext accepts and does not yet make: every process has read a key
	// before the first token made with it turns up.
	StateNext State = "next"
	// StateCurrent makes and accepts.
	StateCurrent State = "current"
	// StateOld accepts until a set moment.
	StateOld State = "old"
)

// States lists every state.
func States() []State { return []State{StateNext, StateCurrent, StateOld} }

// key is one secret; its JSON is an entry of the key file.
type key struct {
	ID      string    `json:"id"`
	State   State     `json:"state"`
	Secret  secretKey `json:"secret"`
	Created time.Time `json:"created"`
	Until   time.Time `json:"until,omitzero"` // of an old one
}

// secretKey is base64 in JSON and nothing in a message.
type secretKey []byte

func (secretKey) String() string   { return "[key]" }
func (secretKey) GoString() string { return "[key]" }

// keySet holds the keys of one purpose: one current, one next, any old.
type keySet struct {
	Purpose Purpose `json:"purpose"`
	Keys    []key   `json:"keys"`
}

// Keyring holds the keys of every purpose. It does not change: Rotate gives
// another one.
type Keyring struct {
	sets map[Purpose]keySet
}

// oldLife is how long a key still accepts what it made before a rotation:
// longer than any access token lives and any refresh may be retried.
const oldLife = auth.AccessLife + 2*auth.ClockSkew

func newKey(state State, now time.Time) key {
	return key{
		ID:      base64.RawURLEncoding.EncodeToString(randomBytes(9)),
		State:   state,
		Secret:  randomBytes(32),
		Created: now.UTC().Truncate(time.Second),
	}
}

func newKeySet(purpose Purpose, now time.Time) keySet {
	return keySet{Purpose: purpose, Keys: []key{newKey(StateCurrent, now), newKey(StateNext, now)}}
}

// rotated makes the next key the current one, lets the current one grow old,
// drops those past their time and adds a new next.
func (s keySet) rotated(now time.Time) keySet {
	out := keySet{Purpose: s.Purpose}
	for _, k := range s.Keys {
		switch k.State {
		case StateNext:
			k.State = StateCurrent
		case StateCurrent:
			k.State, k.Until = StateOld, now.UTC().Add(oldLife).Truncate(time.Second)
		case StateOld:
			if !now.Before(k.Until) {
				continue
			}
		}
		out.Keys = append(out.Keys, k)
	}
	out.Keys = append(out.Keys, newKey(StateNext, now))
	return out
}

// current gives the key that makes.
func (s keySet) current() key {
	return s.Keys[slices.IndexFunc(s.Keys, func(k key) bool { return k.State == StateCurrent })]
}

// accepting gives the keys that accept at now, the current one first.
func (s keySet) accepting(now time.Time) []key {
	all := []key{s.current()}
	for _, k := range s.Keys {
		if k.State == StateNext || k.State == StateOld && now.Before(k.Until) {
			all = append(all, k)
		}
	}
	return all
}

// check refuses a set that could not serve or whose keys could be guessed.
func (s keySet) check(purpose Purpose) error {
	if s.Purpose != purpose {
		return fmt.Errorf("keys are for %q, not for %q", s.Purpose, purpose)
	}
	count := map[State]int{}
	ids := map[string]bool{}
	for _, k := range s.Keys {
		if !kidShape.MatchString(k.ID) || ids[k.ID] || !slices.Contains(States(), k.State) || (k.State == StateOld) == k.Until.IsZero() {
			return errors.New("a key's id, state or until is not as it must be")
		}
		if err := CheckKey(k.Secret); err != nil {
			return err
		}
		ids[k.ID] = true
		count[k.State]++
	}
	if count[StateCurrent] != 1 || count[StateNext] != 1 {
		return errors.New("there must be one current key and one next key")
	}
	return nil
}

// CheckKey refuses HMAC keys that can be guessed: shorter than 32 bytes (RFC
// 7518 section 3.2), readable text, few different bytes, or a pattern. Of
// keys from a good source it refuses fewer than one in a million.
func CheckKey(secret []byte) error {
	const refusal = "a key is too weak: let the program make its own with 32 random bytes"
	if len(secret) < 32 {
		return errors.New(refusal + " (this one is shorter)")
	}
	if !slices.ContainsFunc(secret, func(b byte) bool { return b < ' ' || b > '~' }) {
		return errors.New(refusal + " (this one is text)")
	}
	// 32 random bytes have 30 different ones on average.
	if distinct(secret) < 20 || distinct(steps(secret)) < 20 {
		return errors.New(refusal + " (this one follows a pattern)")
	}
	return nil
}

func distinct(bytes []byte) int {
	seen := map[byte]bool{}
	for _, b := range bytes {
		seen[b] = true
	}
	return len(seen)
}

// steps gives the differences of neighbours, which show a run up or down.
func steps(bytes []byte) []byte {
	out := make([]byte, 0, len(bytes))
	for i := 1; i < len(bytes); i++ {
		out = append(out, bytes[i]-bytes[i-1])
	}
	return out
}

func decodeKeySet(data []byte, purpose Purpose) (keySet, error) {
	var s keySet
	if err := json.Unmarshal(data, &s); err != nil {
		return keySet{}, errors.New("it is not JSON as it must be")
	}
	if err := s.check(purpose); err != nil {
		return keySet{}, err
	}
	return s, nil
}
