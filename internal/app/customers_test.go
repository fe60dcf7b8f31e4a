package app_test

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/phone"
	"benchtag/internal/shop"
)

// deskShop is an invented shop whose counter reads phone numbers.
func deskShop(t *testing.T) *flowShop {
	t.Helper()
	s := newFlowShop(t)
	s.app.Phones = phone.Book{}
	return s
}

// technician is somebody who is a technician and nothing else.
func (s *flowShop) technician() auth.Principal {
	who := s.who
	who.StaffID, who.Roles = s.other, []shop.Role{shop.RoleTechnician}
	return who
}

func fieldOf(err error) string {
	var f *fault.Error
	if !errors.As(err, &f) || len(f.Fields) == 0 {
		return ""
	}
	return f.Fields[0].Pointer
}

func TestCustomerRules(t *testing.T) {
	t.Parallel()
	s := deskShop(t)
	plain := func(n *shop.Customer) {
		n.Name, n.Kind, n.ContactBy = "Invented Person", shop.CustomerKindPerson, shop.ContactByPhone
	}
	for _, tt := range []struct {
		name  string
		fill  func(*shop.Customer)
		e164  string
		field string // at fault
	}{
		{"a name alone", func(*shop.Customer) {}, "", ""},
		{"an international number", func(n *shop.Customer) { n.Phone = "+44 20 7946 0018" }, "+442079460018", ""},
		{"a national number keeps its digits", func(n *shop.Customer) { n.Phone = "(020) 7946-0018" }, "02079460018", ""},
		{"a wrong number is kept as typed", func(n *shop.Customer) { n.Phone = "+44 1" }, "", ""},
		{"words are no number", func(n *shop.Customer) { n.Phone = "ask the neighbour 3" }, "", ""},
		{"blanks around are dropped", func(n *shop.Customer) { n.Phone = "  +442079460018\u00a0" }, "+442079460018", ""},
		{"an address of two lines", func(n *shop.Customer) { n.Address, n.Note = "Mill Lane 1\nLower Town", "a\nb" }, "", ""},
		{"an e-mail address", func(n *shop.Customer) { n.Email = "a.b+c@mail.example" }, "", ""},
		{"a language", func(n *shop.Customer) { n.Language = "pt-BR" }, "", ""},
		{"no name", func(n *shop.Customer) { n.Name = " \u00a0 " }, "", "/name"},
		{"a name of two lines", func(n *shop.Customer) { n.Name = "a\r\nBcc: b" }, "", "/name"},
		{"a phone number of two lines", func(n *shop.Customer) { n.Phone = "1\n2" }, "", "/phone"},
		{"a Unicode line break", func(n *shop.Customer) { n.Name = "a\u2028b" }, "", "/name"},
		{"an e-mail address with a header", func(n *shop.Customer) { n.Email = "a@b.example\nBcc: c@d.example" }, "", "/email"},
		{"an e-mail address without @", func(n *shop.Customer) { n.Email = "a.example" }, "", "/email"},
		{"two @", func(n *shop.Customer) { n.Email = "a@b@c.example" }, "", "/email"},
		{"two addresses", func(n *shop.Customer) { n.Email = "a@b.example, c@d.example" }, "", "/email"},
		{"no domain", func(n *shop.Customer) { n.Email = "a@" }, "", "/email"},
		{"no local part", func(n *shop.Customer) { n.Email = "@b.example" }, "", "/email"},
		{"a domain with two dots", func(n *shop.Customer) { n.Email = "a@b..example" }, "", "/email"},
		{"an e-mail address too long", func(n *shop.Customer) { n.Email = strings.Repeat("a", 250) + "@b.example" }, "", "/email"},
		{"a language that is none", func(n *shop.Customer) { n.Language = "en_GB" }, "", "/language"},
		{"a language of one letter", func(n *shop.Customer) { n.Language = "e" }, "", "/language"},
		{"a language with an empty part", func(n *shop.Customer) { n.Language = "en--GB" }, "", "/language"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := s.app.AddCustomer(s.ctx, s.who, func(n *shop.Customer) { plain(n); tt.fill(n) })
			if tt.field != "" {
				if !fault.Is(err, fault.Meaning) && !fault.Is(err, fault.Shape) || fieldOf(err) != tt.field {
					t.Fatalf("got %v, want a refusal of %s", err, tt.field)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if kept := one[shop.Customer](s, string(got.ID)); kept.PhoneE164 != tt.e164 || kept.Version != 1 {
				t.Errorf("stored %q at version %d, want %q at 1", kept.PhoneE164, kept.Version, tt.e164)
			}
		})
	}
}

func TestCustomerChange(t *testing.T) {
	t.Parallel()
	s := deskShop(t)
	change := func(match int64) (shop.Customer, error) {
		return s.app.ReplaceCustomer(s.ctx, s.who, app.ShopPut{ID: string(s.cust), Match: match}, func(n *shop.Customer) { n.Phone = "+442079460018" })
	}
	got, err := change(1)
	if err != nil || got.Version != 2 || got.PhoneE164 != "+442079460018" {
		t.Fatalf("got %+v, %v", got, err)
	}
	if _, err := change(1); !fault.Is(err, fault.VersionStale) {
		t.Errorf("a stale change: %v", err)
	}
}

// TestBenchSeesNames proves that a technician learns of a customer's name and
// nothing to reach them by.
func TestBenchSeesNames(t *testing.T) {
	t.Parallel()
	s := deskShop(t)
	made, err := s.app.AddCustomer(s.ctx, s.who, func(n *shop.Customer) {
		*n = shop.Customer{Name: "Invented Firm", Kind: shop.CustomerKindBusiness, Phone: "+442079460018", Email: "canary@mail.example",
			Address: "canary lane", Language: "en", ContactBy: shop.ContactByText, Note: "canary"}
	})
	if err != nil {
		t.Fatal(err)
	}
	whole, err := s.app.GetCustomer(s.ctx, s.who, made.ID)
	if err != nil || whole.Note != "canary" || whole.Email == "" {
		t.Errorf("the counter sees %+v, %v", whole, err)
	}
	want := shop.Customer{Row: made.Row, ID: made.ID, Name: "Invented Firm", Kind: shop.CustomerKindBusiness}
	got, err := s.app.GetCustomer(s.ctx, s.technician(), made.ID)
	if err != nil || got != want {
		t.Errorf("the bench sees %+v, %v", got, err)
	}
	rows, err := s.app.ListCustomers(s.ctx, s.technician(), app.Page{})
	if err != nil || len(rows) != 2 {
		t.Fatalf("%d customers, %v", len(rows), err)
	}
	for _, r := range rows {
		if r.Phone+r.PhoneE164+r.Email+r.Address+r.Language+string(r.ContactBy)+r.Note != "" {
			t.Errorf("the bench sees %+v", r)
		}
	}
}

// TestCustomerJournalIsSealed proves that what the journal keeps of a customer
// and a machine is sealed under the customer's own key.
func TestCustomerJournalIsSealed(t *testing.T) {
	t.Parallel()
	s := deskShop(t)
	made, err := s.app.AddCustomer(s.ctx, s.who, func(n *shop.Customer) {
		n.Name, n.Kind, n.ContactBy = "Canary Person", shop.CustomerKindPerson, shop.ContactByPhone
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.app.AddMachine(s.ctx, s.who, func(n *shop.Machine) {
		n.CustomerID, n.Make, n.Model, n.Plate = made.ID, "Example", "One", "CANARY 1"
	}); err != nil {
		t.Fatal(err)
	}
	seen := 0
	err = s.store.Read(s.ctx, flowShopID, func(tx app.Tx) error {
		entries, err := tx.Entries(string(flowShopID), 0, 100)
		for _, e := range entries {
			seen++
			if e.KeyedTo != made.ID || bytes.Contains(bytes.ToLower(e.Body), []byte("canary")) {
				t.Errorf("entry %d is keyed to %q: %q", e.Sequence, e.KeyedTo, e.Body)
			}
		}
		return err
	})
	if err != nil || seen != 2 {
		t.Errorf("%d entries, %v", seen, err)
	}
}

func TestMachineRules(t *testing.T) {
	t.Parallel()
	s := deskShop(t)
	year := func(y int64) *int64 { return &y }
	// 1M8GDM9AXKP042788 is the worked example of the check digit that is
	// handed around everywhere (from memory); 1...1 sums to digit 1.
	const good, ones = "1M8GDM9AXKP042788", "11111111111111111"
	bad := "1M8GDM9A0KP042788"
	for _, tt := range []struct {
		name    string
		fill    func(*shop.Machine)
		verdict shop.VINVerdict
		field   string
	}{
		{"make and model alone", func(*shop.Machine) {}, shop.VINVerdictUnknown, ""},
		{"a VIN that fits", func(n *shop.Machine) { n.VIN, n.Market = " 1m8gdm9axkp042788 ", shop.NorthAmerica }, shop.VINVerdictOk, ""},
		{"a VIN that fits elsewhere", func(n *shop.Machine) { n.VIN = ones }, shop.VINVerdictOk, ""},
		{"a VIN that does not fit elsewhere", func(n *shop.Machine) { n.VIN = bad }, shop.VINVerdictMismatch, ""},
		{"a VIN without check digit elsewhere", func(n *shop.Machine) { n.VIN = "1M8GDM9AZKP042788" }, shop.VINVerdictNotApplicable, ""},
		{"a frame number", func(n *shop.Machine) { n.FrameNumber = "ex4 -  77" }, shop.VINVerdictUnknown, ""},
		{"the first year", func(n *shop.Machine) { n.Year = year(1885) }, shop.VINVerdictUnknown, ""},
		{"next year", func(n *shop.Machine) { n.Year = year(2027) }, shop.VINVerdictUnknown, ""},
		{"a VIN that does not fit its market", func(n *shop.Machine) { n.VIN, n.Market = bad, shop.NorthAmerica }, "", "/vin"},
		{"a VIN too short", func(n *shop.Machine) { n.VIN = "123" }, "", "/vin"},
		{"a VIN with the letter O", func(n *shop.Machine) { n.VIN = "O" + good[1:] }, "", "/vin"},
		{"a frame number too short", func(n *shop.Machine) { n.FrameNumber = "1" }, "", "/frame_number"},
		{"before the first year", func(n *shop.Machine) { n.Year = year(1884) }, "", "/year"},
		{"after next year", func(n *shop.Machine) { n.Year = year(2028) }, "", "/year"},
		{"no make", func(n *shop.Machine) { n.Make = " " }, "", "/make"},
		{"no model", func(n *shop.Machine) { n.Model = "" }, "", "/model"},
		{"a plate of two lines", func(n *shop.Machine) { n.Plate = "a\nb" }, "", "/plate"},
		{"a customer who is not there", func(n *shop.Machine) { n.CustomerID = shop.CustomerID(s.src.ID()) }, "", "/customer_id"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := s.app.AddMachine(s.ctx, s.who, func(n *shop.Machine) {
				n.CustomerID, n.Make, n.Model = s.cust, "Example", "One"
				tt.fill(n)
			})
			if tt.field != "" {
				if !fault.Is(err, fault.Meaning) && !fault.Is(err, fault.Shape) || fieldOf(err) != tt.field {
					t.Fatalf("got %v, want a refusal of %s", err, tt.field)
				}
				return
			}
			if err != nil || got.VINVerdict != tt.verdict {
				t.Fatalf("got %s, %v; want %s", got.VINVerdict, err, tt.verdict)
			}
			if strings.ToUpper(got.VIN+got.FrameNumber) != got.VIN+got.FrameNumber || strings.Contains(got.FrameNumber, "  ") {
				t.Errorf("stored as %q, %q", got.VIN, got.FrameNumber)
			}
		})
	}
	if got, err := s.app.ReplaceMachine(s.ctx, s.who, app.ShopPut{ID: string(s.mach), Match: 1}, func(n *shop.Machine) { n.VIN = good }); err != nil || got.VINVerdict != shop.VINVerdictOk {
		t.Errorf("changed to %+v, %v", got, err)
	}
}

func TestMachineWorkOrders(t *testing.T) {
	t.Parallel()
	s := deskShop(t)
	s.visit()
	first := s.order
	s.visit()
	visits, err := s.app.ListMachineWorkOrders(s.ctx, s.technician(), s.mach, app.Page{})
	if err != nil || len(visits) != 2 || visits[0].ID != s.order || visits[1].ID != first || visits[0].Stage != shop.StageIntake {
		t.Errorf("got %+v, %v", visits, err)
	}
	other, err := s.app.AddMachine(s.ctx, s.who, func(n *shop.Machine) { n.CustomerID, n.Make, n.Model = s.cust, "Example", "Two" })
	if err != nil {
		t.Fatal(err)
	}
	if visits, err := s.app.ListMachineWorkOrders(s.ctx, s.who, other.ID, app.Page{}); err != nil || len(visits) != 0 {
		t.Errorf("the other machine has %d visits, %v", len(visits), err)
	}
	if _, err := s.app.ListMachineWorkOrders(s.ctx, s.who, shop.MachineID(s.src.ID()), app.Page{}); !fault.Is(err, fault.NotFound) {
		t.Errorf("a machine that is not there: %v", err)
	}
}

func TestSearchByPhone(t *testing.T) {
	t.Parallel()
	s := deskShop(t)
	if _, err := s.app.ReplaceCustomer(s.ctx, s.who, app.ShopPut{ID: string(s.cust), Match: 1}, func(n *shop.Customer) { n.Phone = "+44 20 7946 0018" }); err != nil {
		t.Fatal(err)
	}
	s.visit()
	for _, tt := range []struct {
		name, text string
		who        auth.Principal
		found      int
	}{
		{"as dialled abroad", "+44 (20) 7946-0018", s.who, 1},
		{"as dialled at home", "020 7946 0018", s.who, 1},
		{"a part", "946 00", s.who, 1},
		{"another", "020 7946 0019", s.who, 0},
		{"two digits are no phone number", "18", s.who, 0},
		{"noughts alone", "000", s.who, 0},
		{"by the bench", "+44 20 7946 0018", s.technician(), 0},
		{"the name, by the bench", "invented", s.technician(), 1},
		{"the model", "one", s.who, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := s.app.Search(s.ctx, tt.who, tt.text, "")
			if err != nil || len(got) != tt.found {
				t.Fatalf("found %d, %v; want %d", len(got), err, tt.found)
			}
			if tt.found == 1 && (got[0].Customer != "Invented Person" || got[0].Machine != "Example One" || got[0].Stage != shop.StageIntake || got[0].WorkOrderID != s.order) {
				t.Errorf("found %+v", got[0])
			}
		})
	}
}
