package consent

import (
	"slices"
	"strconv"
)

// Return says how replaced parts get back to the customer.
type Return string

// The ways.
const (
	ReturnDefault   Return = "default_return" // given back unless the customer declines
	ReturnOnRequest Return = "on_request"
	ReturnOffer     Return = "offer"     // the shop asks every customer
	ReturnShowOnly  Return = "show_only" // shown, not given back
)

// Returns lists every way.
func Returns() []Return { return []Return{ReturnDefault, ReturnOnRequest, ReturnOffer, ReturnShowOnly} }

// RequestBy is the last moment at which the customer may ask for old parts.
type RequestBy string

// The moments.
const (
	ByAuthorization RequestBy = "authorization"
	ByWorkOrder     RequestBy = "work_order"
	ByBeforeWork    RequestBy = "before_work"
	ByOrdering      RequestBy = "when_ordering"
	ByWrittenDemand RequestBy = "timely_written_demand"
)

// RequestBys lists every moment.
func RequestBys() []RequestBy {
	return []RequestBy{ByAuthorization, ByWorkOrder, ByBeforeWork, ByOrdering, ByWrittenDemand}
}

// Exception is a reason why a part need not be given back.
type Exception string

// The exceptions.
const (
	ExceptCore          Exception = "exchange_core"
	ExceptWarranty      Exception = "warranty_return"
	ExceptSizeWeight    Exception = "size_weight_by_rule"
	ExceptFuelContainer Exception = "safety_fuel_container"
	ExceptLegalHold     Exception = "legal_hold"
	ExceptFree          Exception = "free_of_charge"
)

// Exceptions lists every exception.
func Exceptions() []Exception {
	return []Exception{ExceptCore, ExceptWarranty, ExceptSizeWeight, ExceptFuelContainer, ExceptLegalHold, ExceptFree}
}

// OldParts says what happens to replaced parts under the rule. Where nothing
// was found in the rule's sources it answers with the strict profile: parts
// are kept and offered to every customer.
func OldParts(r Rule) PartsRule {
	p := strictParts()
	if r.Parts != nil {
		p = *r.Parts
	}
	p.Exceptions = slices.Clone(p.Exceptions)
	return p
}

// RecordsYears is how many years the papers of a job are kept: what the rule
// says, or four, which covers every value found. Tax law may ask for more.
func RecordsYears(r Rule) int {
	if r.RecordsYears > 0 {
		return r.RecordsYears
	}
	return strictRecordsYears
}

// PartAsk is one replaced part at hand-over.
type PartAsk struct {
	Name string `json:"name,omitempty"`
	// Exception is why it cannot be given back; "" for none.
	Exception Exception `json:"exception,omitempty"`
	Requested bool      `json:"requested,omitempty"` // the customer asked for it in time
	Declined  bool      `json:"declined,omitempty"`  // the customer said they do not want it
	Free      bool      `json:"free,omitempty"`      // the new one was fitted free of charge
}

// Fate is what becomes of a replaced part.
type Fate string

// The fates.
const (
	FateGiveBack Fate = "give_back"
	FateShow     Fate = "show"      // the customer may look at it; it is not given back
	FateAsk      Fate = "ask"       // the customer has not been asked yet
	FateHold     Fate = "hold"      // kept until hand-over in case the customer asks
	FateShopsOwn Fate = "shops_own" // the shop need not give it back
)

// Fates lists every fate.
func Fates() []Fate { return []Fate{FateGiveBack, FateShow, FateAsk, FateHold, FateShopsOwn} }

// PartFate says what becomes of a replaced part under the rule, and why. An
// exception the rule does not know is none: the part is treated as any other.
func PartFate(r Rule, q PartAsk) (Fate, string) {
	p := OldParts(r)
	excepted := q.Exception != "" && slices.Contains(p.Exceptions, q.Exception) ||
		q.Free && slices.Contains(p.Exceptions, ExceptFree)
	switch {
	case excepted && p.ShowIfExcepted && !(q.Free && p.ShowNotIfFree):
		return FateShow, "The part is excepted from return, but the customer may see it" + daysWords(p.ShowBusinessDays) + "."
	case excepted:
		return FateShopsOwn, "The rule excepts such a part from return."
	case q.Declined:
		return FateShopsOwn, "The customer does not want it; keep that on record."
	case p.Return == ReturnShowOnly:
		return FateShow, "Under this rule old parts are shown, not given back."
	case p.Return == ReturnDefault || q.Requested:
		return FateGiveBack, givenWords(p, q)
	case p.Return == ReturnOffer:
		return FateAsk, "Under this rule every customer is asked whether they want old parts."
	}
	return FateHold, "The customer has not asked for it; the rule gives them until: " + list([]RequestBy{p.RequestBy}) + ". Hold it until hand-over."
}

func daysWords(days int) string {
	if days == 0 {
		return ""
	}
	return " for " + strconv.Itoa(days) + " business days"
}

func givenWords(p PartsRule, q PartAsk) string {
	out := "Old parts are given back unless the customer declines"
	if q.Requested {
		out = "The customer asked for it"
	}
	if q.Exception != "" {
		out += "; this rule has no such exception"
	}
	if p.KeepBusinessDays > 0 {
		out += "; not collected, it is kept" + daysWords(p.KeepBusinessDays) + " after pick-up"
	}
	return out + "."
}
