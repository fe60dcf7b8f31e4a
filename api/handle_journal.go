package api

import (
	"encoding/base64"
	"fmt"
	"net/http"
	"strconv"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
)

// JournalKeyView is a public key that signs or has signed checkpoints.
type JournalKeyView struct {
	Key         string  `json:"key"`
	Fingerprint string  `json:"fingerprint"`
	SignsFrom   string  `json:"signs_from"`
	SignsUntil  *string `json:"signs_until"`
}

// CheckpointView is a signed checkpoint.
type CheckpointView struct {
	TreeSize int64  `json:"tree_size"`
	Root     string `json:"root"`
	SignedAt string `json:"signed_at"`
	Note     string `json:"note"`
}

// EntryProofView shows that an entry is in the tree of a signed checkpoint.
type EntryProofView struct {
	Header     string         `json:"header"`
	Hash       string         `json:"hash"`
	LeafIndex  int64          `json:"leaf_index"`
	Path       []string       `json:"path"`
	Checkpoint CheckpointView `json:"checkpoint"`
}

// GrowthProofView shows that a tree is a beginning of a later one.
type GrowthProofView struct {
	FromSize int64    `json:"from_size"`
	FromRoot string   `json:"from_root"`
	ToSize   int64    `json:"to_size"`
	ToRoot   string   `json:"to_root"`
	Path     []string `json:"path"`
}

func checkpointView(c app.StoredCheckpoint) CheckpointView {
	return CheckpointView{TreeSize: c.Size, Root: base64.StdEncoding.EncodeToString(c.Root[:]), SignedAt: instantView(c.SignedAt), Note: c.Note}
}

func pathView(path []journal.Hash) []string {
	out := make([]string, len(path))
	for i, h := range path {
		out[i] = base64.StdEncoding.EncodeToString(h[:])
	}
	return out
}

func listJournalKeys(c *call) error {
	keys, err := c.app().JournalKeys(c.ctx, c.shop.ID)
	if err != nil {
		return err
	}
	items := make([]JournalKeyView, len(keys))
	for i, k := range keys {
		items[i] = JournalKeyView{Key: k.Key.String(), Fingerprint: k.Key.Fingerprint(), SignsFrom: instantView(k.From)}
		if !k.Until.IsZero() {
			items[i].SignsUntil = instantOptView(&k.Until)
		}
	}
	return c.json(http.StatusOK, 0, struct {
		Items []JournalKeyView `json:"items"`
	}{items})
}

// getCheckpoint answers with the note as it was signed, so that a tool for
// transparency logs can read it.
func getCheckpoint(c *call) error {
	last, err := c.app().LastCheckpoint(c.ctx, c.who)
	if err != nil {
		return err
	}
	c.noteSeen()
	return c.Blob(http.StatusOK, "text/plain; charset=utf-8", []byte(last.Note))
}

func listCheckpoints(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	list, err := c.app().ListCheckpoints(c.ctx, c.who, page)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, listOf(list, page, app.StoredCheckpoint.Key, checkpointView))
}

func proveConsistency(c *call) error {
	from, err := c.whole("from")
	if err != nil {
		return err
	}
	to, err := c.whole("to")
	if err != nil {
		return err
	}
	p, err := c.app().ProveGrowth(c.ctx, c.who, from, to)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, GrowthProofView{FromSize: from, FromRoot: base64.StdEncoding.EncodeToString(p.From.Root[:]),
		ToSize: int64(p.To.Size), ToRoot: base64.StdEncoding.EncodeToString(p.To.Root[:]), Path: pathView(p.Path)})
}

func proveEntry(c *call) error {
	sequence, err := c.whole("sequence")
	if err != nil {
		return err
	}
	p, err := c.app().ProveEntry(c.ctx, c.who, c.QueryParam("stream_id"), sequence)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, 0, EntryProofView{Header: string(p.Header), Hash: p.Hash.String(), LeafIndex: p.Index,
		Path: pathView(p.Path), Checkpoint: checkpointView(p.Checkpoint)})
}

// whole reads a parameter that is a whole number; 0 where it is left out.
func (c *call) whole(name string) (int64, error) {
	text := c.QueryParam(name)
	if text == "" {
		return 0, nil
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 0 {
		return 0, fault.New(fault.Shape, "api.number_wrong", fmt.Sprintf("%s is a whole number.", name))
	}
	return n, nil
}
