package shop_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/shop"
)

const labelShop = shop.ShopID("01994000-0000-7000-8000-000000000001")

func TestParseLabelText(t *testing.T) {
	t.Parallel()
	mark := shop.TagMarkOf(labelShop)
	foreign := shop.TagMarkOf("01994000-0000-7000-8000-000000000002")
	tests := []struct {
		name, in string
		want     shop.TagCode
		wantErr  string
	}{
		{"typed", "2223X", "2223X", ""},
		{"typed small, with blanks", " 22-23 x", "2223X", ""},
		{"mark and code", string(mark) + "-2223X", "2223X", ""},
		{"scanned", "HTTPS://SHOP.EXAMPLE/T/" + string(mark) + "-2223X", "2223X", ""},
		{"scanned small", "https://shop.example/t/" + strings.ToLower(string(mark)) + "-2223x", "2223X", ""},
		{"below a path", "https://example.test/bench/t/" + string(mark) + "-2223X", "2223X", ""},
		{"another server's address, our mark", "http://192.0.2.7:8080/t/" + string(mark) + "2223X?x=1", "2223X", ""},
		{"a slash behind", "/t/" + string(mark) + "-2223X/", "2223X", ""},
		{"another shop's mark", string(foreign) + "-2223X", "", "shop.tag_label_foreign"},
		{"another shop's label", "https://shop.example/t/" + string(foreign) + "-2223X", "", "shop.tag_label_foreign"},
		{"an address without a mark", "https://shop.example/t/2223X", "", "shop.tag_label_foreign"},
		{"an address of something else", "https://shop.example/c/2223X", "", "shop.tag_label_foreign"},
		{"an endless text", strings.Repeat("2", 3000), "", "shop.tag_label_foreign"},
		{"mistyped", "2223Y", "", "shop.tag_code_check"},
		{"mistyped behind a mark", string(mark) + "-2223Y", "", "shop.tag_code_check"},
		{"short", "2223", "", "shop.tag_code_length"},
		{"a look-alike", "222O3", "", "shop.tag_code_character"},
		{"nothing", "", "", "shop.tag_code_length"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got, err := shop.ParseLabelText(tt.in, mark)
			if tt.wantErr != "" {
				wantCode(t, err, tt.wantErr)
				return
			}
			if err != nil || got != tt.want {
				t.Errorf("got %q, %v, want %q", got, err, tt.want)
			}
		})
	}
}

// Whatever the server's address, what a label holds reads back as its code in
// its own shop and in no other, in any case.
func TestLabelTextLaws(t *testing.T) {
	t.Parallel()
	mark := shop.TagMarkOf(labelShop)
	rapid.Check(t, func(t *rapid.T) {
		code, err := shop.NewTagCode(rapid.Uint32Range(0, shop.TagCodes-1).Draw(t, "n"))
		if err != nil {
			t.Fatal(err)
		}
		base := rapid.SampledFrom([]string{"", "https://shop.example", "http://192.0.2.7:8080", "https://example.test/t/bench/"}).Draw(t, "base")
		text := shop.LabelText(base, mark, code)
		if rapid.Bool().Draw(t, "small") {
			text = strings.ToLower(text)
		}
		got, err := shop.ParseLabelText(text, mark)
		if err != nil || got != code {
			t.Fatalf("%q reads as %q, %v, want %q", text, got, err, code)
		}
		other := shop.TagMarkOf(shop.ShopID(rapid.String().Draw(t, "other")))
		if got, err := shop.ParseLabelText(text, other); err == nil && other != mark {
			t.Fatalf("%q reads as %q in another shop", text, got)
		}
	})
}

// An address without a path stands in capitals, which need fewer modules; one
// with a path keeps its case, since paths do not mean the same in another.
func TestLabelTextCase(t *testing.T) {
	t.Parallel()
	for base, want := range map[string]string{
		"":                            "K7MX-2223X",
		"https://shop.example":        "HTTPS://SHOP.EXAMPLE/T/K7MX-2223X",
		"https://shop.example/":       "HTTPS://SHOP.EXAMPLE/T/K7MX-2223X",
		"https://example.test/Bench/": "https://example.test/Bench/t/K7MX-2223X",
	} {
		if diff := cmp.Diff(want, shop.LabelText(base, "K7MX", "2223X")); diff != "" {
			t.Error(diff)
		}
	}
}

// The mark is one for a shop, and hardly ever that of another.
func TestTagMarks(t *testing.T) {
	t.Parallel()
	seen := map[shop.TagMark]int{}
	for n := range 2000 {
		mark := shop.TagMarkOf(shop.ShopID(strings.Repeat("x", n)))
		seen[mark]++
		if len(mark) != 4 || strings.Trim(string(mark), tagCharacters) != "" {
			t.Fatalf("the mark %q", mark)
		}
	}
	if len(seen) < 1985 {
		t.Errorf("2000 shops have %d marks", len(seen))
	}
	if again := shop.TagMarkOf(labelShop); again != shop.TagMarkOf(labelShop) {
		t.Error("a shop's mark changes")
	}
}

// Every code of every block is one of its own, reads back, and the block
// knows it from its neighbours'.
func TestTagBlockLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := shop.TagBlock{FirstNumber: rapid.Int64Range(1, int64(shop.TagCodes)+10).Draw(t, "first"), Size: rapid.Int64Range(1, shop.MaxTagBlock).Draw(t, "size")}
		codes, err := b.Codes()
		if b.FirstNumber+b.Size > int64(shop.TagCodes) {
			if err == nil {
				t.Fatalf("%+v runs past the last code and gives %d codes", b, len(codes))
			}
			return
		}
		if err != nil || int64(len(codes)) != b.Size {
			t.Fatalf("%d codes, %v", len(codes), err)
		}
		seen := map[shop.TagCode]bool{}
		for _, c := range codes {
			if back, err := shop.ParseTagCode(string(c)); err != nil || back != c || seen[c] || !b.Holds(c) {
				t.Fatalf("%q reads as %q, %v, doubled %v, held %v", c, back, err, seen[c], b.Holds(c))
			}
			seen[c] = true
		}
		for _, n := range []int64{b.FirstNumber - 1, b.FirstNumber + b.Size} {
			if c, err := shop.NewTagCode(uint32(n)); err == nil && b.Holds(c) {
				t.Fatalf("%+v holds number %d", b, n)
			}
		}
	})
}

func FuzzParseLabelText(f *testing.F) {
	mark := shop.TagMarkOf(labelShop)
	for _, seed := range []string{"", "2223X", "HTTPS://SHOP.EXAMPLE/T/" + string(mark) + "-2223X", "/t//t/", "https://x/t/?#", string(mark), "\xff/t/\x00", "ſ223x"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		code, err := shop.ParseLabelText(text, mark)
		if err != nil {
			if code != "" {
				t.Errorf("%q gives %q beside %v", text, code, err)
			}
			return
		}
		if back, err := shop.ParseTagCode(string(code)); err != nil || back != code {
			t.Errorf("%q gives %q, which is no code: %v", text, code, err)
		}
		if !strings.Contains(strings.NewReplacer(" ", "", "-", "").Replace(strings.ToUpper(text)), string(code)) {
			t.Errorf("%q gives %q, which it does not hold", text, code)
		}
	})
}
