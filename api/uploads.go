package api

import (
	"encoding/base64"
	"encoding/hex"
	"strings"
	"sync"

	"benchtag/internal/app"
	"benchtag/internal/fault"
)

// uploads bounds the pictures that are under way in this process, since each
// stands in memory until it is stored.
type uploads struct {
	mu   sync.Mutex
	left int64
	by   map[string]int
}

// The most that may be under way: bytes in all, and pictures of one person.
const (
	uploadBudget     = 160 << 20
	uploadsPerPerson = 4
)

func newUploads() *uploads { return &uploads{left: uploadBudget, by: map[string]int{}} }

// take makes room for a picture; the function it gives lets go of it again. A
// size that is not known counts as the largest.
func (u *uploads) take(person string, size int64) (done func(), err error) {
	if size < 0 {
		size = app.MaxPhoto
	}
	u.mu.Lock()
	defer u.mu.Unlock()
	if u.left < size || u.by[person] >= uploadsPerPerson {
		f := fault.New(fault.Unavailable, "api.uploads_busy", "Other pictures are under way; send this one again in a moment.")
		f.RetryAfter = 2
		return nil, f
	}
	u.left -= size
	u.by[person]++
	return func() { u.release(person, size) }, nil
}

func (u *uploads) release(person string, size int64) {
	u.mu.Lock()
	defer u.mu.Unlock()
	u.left += size
	if u.by[person]--; u.by[person] == 0 {
		delete(u.by, person)
	}
}

// digestIn finds the SHA-256, hex, in a Content-Digest (RFC 9530, section 2):
// a dictionary of byte sequences (RFC 8941, 3.2 and 3.3.5), of which others
// are passed over. Two that differ are none.
func digestIn(values []string) (sum string, ok bool) {
	for _, value := range values {
		for member := range strings.SplitSeq(value, ",") {
			text, is := strings.CutPrefix(strings.Trim(member, " \t"), "sha-256=:")
			if !is {
				continue
			}
			raw, err := base64.StdEncoding.Strict().DecodeString(strings.TrimSuffix(text, ":"))
			if err != nil || len(raw) != 32 || !strings.HasSuffix(text, ":") || sum != "" {
				return "", false
			}
			sum = hex.EncodeToString(raw)
		}
	}
	return sum, sum != ""
}
