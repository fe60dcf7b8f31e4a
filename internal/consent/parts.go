package consent

import "slices"

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
