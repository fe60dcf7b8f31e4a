package journal_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/journal"
)

const sample = "benchtag-journal 1\n" +
	"shop 0197a000-0000-7000-8000-000000000001\n" +
	"stream work_order 0197a000-0000-7000-8000-0000000000aa\n" +
	"sequence 2\n" +
	"previous 6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d\n" +
	"time 2026-03-04T05:06:07.000008Z\n" +
	"actor staff 0197a000-0000-7000-8000-000000000003\n" +
	"event finding.recorded\n" +
	"subject finding 0197a000-0000-7000-8000-000000000004 7\n" +
	"body e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855\n"

func sampleHeader(t testing.TB) journal.Header {
	t.Helper()
	h, err := journal.Decode([]byte(sample))
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func TestHeaderHasTheDocumentedSpelling(t *testing.T) {
	t.Parallel()
	body, err := journal.ParseHash("e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855")
	if err != nil {
		t.Fatal(err)
	}
	want := journal.Header{
		Version:  1,
		Stream:   journal.Stream{ShopID: "0197a000-0000-7000-8000-000000000001", Kind: journal.WorkOrder, ID: "0197a000-0000-7000-8000-0000000000aa"},
		Sequence: 2,
		Previous: journal.Leaf(nil),
		Time:     time.Date(2026, 3, 4, 5, 6, 7, 8000, time.UTC),
		Actor:    journal.Actor{Kind: journal.Staff, ID: "0197a000-0000-7000-8000-000000000003"},
		Event:    "finding.recorded",
		Subject:  journal.Subject{Noun: "finding", ID: "0197a000-0000-7000-8000-000000000004", Version: 7},
		Body:     body,
	}
	if diff := cmp.Diff(want, sampleHeader(t)); diff != "" {
		t.Errorf("decoded (-want +got):\n%s", diff)
	}
	got, err := journal.Encode(want)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(sample, string(got)); diff != "" {
		t.Errorf("encoded (-want +got):\n%s", diff)
	}
}

func TestDecodeRefusesEverySecondSpelling(t *testing.T) {
	t.Parallel()
	tests := []struct{ name, old, new string }{
		{"version of the future", "benchtag-journal 1", "benchtag-journal 2"},
		{"other magic", "benchtag-journal", "benchtag-diary"},
		{"leading zero", "sequence 2", "sequence 02"},
		{"plus sign", "sequence 2", "sequence +2"},
		{"sequence zero", "sequence 2", "sequence 0"},
		{"first with previous", "sequence 2", "sequence 1"},
		{"negative sequence", "sequence 2", "sequence -2"},
		{"sequence too large", "sequence 2", "sequence 9223372036854775808"},
		{"upper-case hash", "6e34", "6E34"},
		{"short hash", "6e34", "6e3"},
		{"not hex", "6e34", "6g34"},
		{"later entry without previous", "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d", strings.Repeat("0", 64)},
		{"comma in time", "07.000008", "07,000008"},
		{"offset in time", "000008Z", "000008+00:00"},
		{"milliseconds only", "07.000008", "07.000"},
		{"nanoseconds", "07.000008", "07.000008001"},
		{"no such day", "2026-03-04", "2026-02-30"},
		{"year zero", "2026-03-04", "0000-03-04"},
		{"unknown stream", "stream work_order", "stream job"},
		{"unknown actor", "actor staff", "actor robot"},
		{"event without dot", "finding.recorded", "recorded"},
		{"event with two dots", "finding.recorded", "finding.recorded.twice"},
		{"event in capitals", "finding.recorded", "Finding.recorded"},
		{"event noun starts with a digit", "finding.recorded", "2finding.recorded"},
		{"event too long", "finding.recorded", "finding." + strings.Repeat("r", 64)},
		{"subject noun", "subject finding", "subject find-ing"},
		{"subject version negative", "004 7\n", "004 -7\n"},
		{"subject version missing", "004 7\n", "004\n"},
		{"double space", "actor staff", "actor  staff"},
		{"trailing space", "sequence 2\n", "sequence 2 \n"},
		{"carriage return", "sequence 2\n", "sequence 2\r\n"},
		{"field order", "event finding.recorded\nsubject", "subject finding.recorded\nevent"},
		{"bad id", "shop 0197a000", "shop 0197/000"},
		{"empty id", "shop 0197a000-0000-7000-8000-000000000001", "shop "},
		{"long id", "shop 0197a000", "shop " + strings.Repeat("a", 64)},
		{"cut off", "b7852b855\n", "b7852b855"},
		{"more after the end", "b7852b855\n", "b7852b855\nbody\n"},
		{"far too long", "b7852b855\n", "b7852b855\n" + strings.Repeat("x", 1024)},
		{"empty", sample, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			if !strings.Contains(sample, tt.old) {
				t.Fatalf("the sample does not hold %q", tt.old)
			}
			h, err := journal.Decode([]byte(strings.Replace(sample, tt.old, tt.new, 1)))
			if err == nil {
				t.Fatalf("accepted as %+v", h)
			}
			if !strings.HasPrefix(err.Error(), "journal: ") {
				t.Errorf("error %q does not name its package", err)
			}
		})
	}
}

func TestEncodeRefusesValuesOutOfRange(t *testing.T) {
	t.Parallel()
	tests := map[string]func(*journal.Header){
		"version":           func(h *journal.Header) { h.Version = 0 },
		"sequence":          func(h *journal.Header) { h.Sequence = 0 },
		"no previous":       func(h *journal.Header) { h.Previous = journal.Hash{} },
		"first has no past": func(h *journal.Header) { h.Sequence = 1 },
		"zone":              func(h *journal.Header) { h.Time = h.Time.In(time.FixedZone("east", 3600)) },
		"nanoseconds":       func(h *journal.Header) { h.Time = h.Time.Add(1) },
		"year":              func(h *journal.Header) { h.Time = h.Time.AddDate(9000, 0, 0) },
		"stream kind":       func(h *journal.Header) { h.Stream.Kind = "" },
		"stream id":         func(h *journal.Header) { h.Stream.ID = "a b" },
		"shop id":           func(h *journal.Header) { h.Stream.ShopID = "a\nb" },
		"actor kind":        func(h *journal.Header) { h.Actor.Kind = "x" },
		"actor id":          func(h *journal.Header) { h.Actor.ID = "é" },
		"event":             func(h *journal.Header) { h.Event = "" },
		"noun":              func(h *journal.Header) { h.Subject.Noun = "" },
		"subject id":        func(h *journal.Header) { h.Subject.ID = "" },
		"subject version":   func(h *journal.Header) { h.Subject.Version = -1 },
	}
	for name, spoil := range tests {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			h := sampleHeader(t)
			spoil(&h)
			b, err := journal.Encode(h)
			if err == nil {
				t.Fatalf("wrote %q", b)
			}
		})
	}
}

func TestEveryKindIsAccepted(t *testing.T) {
	t.Parallel()
	h := sampleHeader(t)
	for _, stream := range journal.StreamKinds() {
		for _, actor := range journal.ActorKinds() {
			h.Stream.Kind, h.Actor.Kind = stream, actor
			b, err := journal.Encode(h)
			if err != nil {
				t.Fatalf("%s by %s: %v", stream, actor, err)
			}
			back, err := journal.Decode(b)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(h, back); diff != "" {
				t.Error(diff)
			}
		}
	}
	if len(journal.StreamKinds()) != 2 || len(journal.ActorKinds()) != 4 {
		t.Error("a kind was added or lost: adapt this test and the schema")
	}
}

func TestLongestHeaderIsAccepted(t *testing.T) {
	t.Parallel()
	h := sampleHeader(t)
	id, word := strings.Repeat("f", 64), strings.Repeat("w", 64)
	h.Stream, h.Actor = journal.Stream{ShopID: id, Kind: journal.WorkOrder, ID: id}, journal.Actor{Kind: journal.CustomerLink, ID: id}
	h.Sequence = 1<<63 - 1
	h.Event = journal.Event(word[:31] + "." + word[:32])
	h.Subject = journal.Subject{Noun: word, ID: id, Version: 1<<63 - 1}
	b, err := journal.Encode(h)
	if err != nil {
		t.Fatal(err)
	}
	_, err = journal.Decode(b)
	if err != nil {
		t.Fatalf("%d bytes: %v", len(b), err)
	}
}

func genHeader() *rapid.Generator[journal.Header] {
	return rapid.Custom(func(t *rapid.T) journal.Header {
		id := rapid.StringMatching(`[0-9A-Za-z._:-]{1,64}`)
		word := rapid.StringMatching(`[a-z][a-z0-9_]{0,30}`)
		hash := rapid.Custom(func(t *rapid.T) journal.Hash {
			return journal.Leaf([]byte(rapid.String().Draw(t, "hashed")))
		})
		h := journal.Header{
			Version:  1,
			Stream:   journal.Stream{ShopID: id.Draw(t, "shop"), Kind: rapid.SampledFrom(journal.StreamKinds()).Draw(t, "kind"), ID: id.Draw(t, "stream")},
			Sequence: rapid.Int64Min(1).Draw(t, "sequence"),
			Previous: hash.Draw(t, "previous"),
			Time:     time.UnixMicro(rapid.Int64Range(-62135596800000000, 253402300799999999).Draw(t, "time")).UTC(),
			Actor:    journal.Actor{Kind: rapid.SampledFrom(journal.ActorKinds()).Draw(t, "actor"), ID: id.Draw(t, "by")},
			Event:    journal.Event(word.Draw(t, "noun") + "." + word.Draw(t, "verb")),
			Subject:  journal.Subject{Noun: word.Draw(t, "subject"), ID: id.Draw(t, "subject id"), Version: rapid.Int64Min(0).Draw(t, "version")},
			Body:     hash.Draw(t, "body"),
		}
		if h.Sequence == 1 {
			h.Previous = journal.Hash{}
		}
		return h
	})
}

func TestDecodeUndoesEncode(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := genHeader().Draw(t, "header")
		b, err := journal.Encode(h)
		if err != nil {
			t.Fatal(err)
		}
		back, err := journal.Decode(b)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(h, back); diff != "" {
			t.Fatal(diff)
		}
	})
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte(sample))
	f.Add([]byte(strings.Replace(sample, "sequence 2", "sequence 02", 1)))
	f.Add([]byte(""))
	f.Fuzz(func(t *testing.T, b []byte) {
		h, err := journal.Decode(b)
		if err != nil {
			return
		}
		back, err := journal.Encode(h)
		if err != nil {
			t.Fatalf("decoded but not encodable: %v", err)
		}
		if !bytes.Equal(back, b) {
			t.Fatalf("two spellings:\n%q\n%q", b, back)
		}
	})
}
