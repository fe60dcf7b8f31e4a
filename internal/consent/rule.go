// Package consent decides whether a change of price, work, date, method or
// part condition needs the customer's further consent under a rule the shop
// has chosen, and what a teardown offer, a consent record and the return of
// old parts must then carry.
//
// It is a calculator over dated data, not legal advice. It compares numbers;
// it does not decide whether added work is the same job, what is reasonable,
// who may sign, or anything about liens, storage, licensing or warranty.
// Where a rule does not reach a case the answer is never "free to charge":
// the strict default profile (see [Strict]) applies instead.
//
// All arithmetic is exact in integers. An allowance is never rounded.
package consent

// Minor is an amount of money in minor units (cents) of the rule's currency.
// Amounts handed to this package lie in 0..[MaxMinor].
type Minor = int64

// MaxMinor is the largest amount taken, in minor units. With it every
// product formed here (amount × basis points) stays inside 64 bits.
const MaxMinor Minor = 100_000_000_000_000

// MaxBasisPoints is the largest percentage taken: 100 %.
const MaxBasisPoints = 10_000

// StrictID names the default profile of a shop that has chosen no rule.
const StrictID = "STRICT"

// CustomID names a rule the shop made of its own parameters.
const CustomID = "SHOP"

// Rule is one jurisdiction's rule, or the strict default, or the shop's own.
// Lists inside a rule are shared and read only.
type Rule struct {
	ID       string `json:"id"`       // e.g. "US-CA"; STRICT; SHOP
	Name     string `json:"name"`     // the jurisdiction's name
	Citation string `json:"citation"` // the statute or regulation
	Currency string `json:"currency"` // ISO 4217, or "" where no amount depends on it
	// Retrieved is the day (YYYY-MM-DD) the source was read.
	Retrieved string `json:"retrieved"`
	// VerifiedOn is the day a person checked the rule with the official
	// text, or nil: not verified.
	VerifiedOn *string       `json:"verified_on"`
	Grounding  Quality       `json:"grounding"`
	Scope      Scope         `json:"scope"`
	Estimate   EstimateRule  `json:"estimate"`
	Overage    Overage       `json:"overage"`
	Also       []Also        `json:"also_needs_consent"`
	Limit      LimitKind     `json:"limit"`
	Teardown   *TeardownRule `json:"teardown,omitempty"`
	// ConsentRecord holds the fields found in the source; empty means none
	// were found, and the strict list applies.
	ConsentRecord []RecordField `json:"consent_record,omitempty"`
	RecordNote    string        `json:"record_note,omitempty"` // what else the sources say of the record
	Parts         *PartsRule    `json:"parts,omitempty"`
	RecordsYears  int           `json:"records_years,omitempty"` // 0: none found
	Waiver        *WaiverRule   `json:"waiver,omitempty"`
	Electronic    string        `json:"electronic,omitempty"` // a note on electronic form
	Storage       string        `json:"storage,omitempty"`    // a note on storage charges
	Warranty      *Warranty     `json:"warranty,omitempty"`
	Sources       []Source      `json:"sources"`
}

// Source is one text the rule rests on.
type Source struct {
	Quality Quality `json:"quality"`
	What    string  `json:"what"`
}

// Scope says which jobs the rule covers.
type Scope struct {
	Motorcycles Cover `json:"motorcycles"`
	// MinTotalMinor with MinCmp: the total must be greater than (gt) or at
	// least (ge) this. Tested on the larger of estimate and actual.
	MinTotalMinor Minor `json:"min_total_minor,omitempty"`
	MinCmp        Cmp   `json:"min_cmp,omitempty"`
	// MaxTotalMinor with MaxCmp: the total must be less than (lt) or at
	// most (le) this. Tested on the smaller of estimate and actual.
	MaxTotalMinor Minor `json:"max_total_minor,omitempty"`
	MaxCmp        Cmp   `json:"max_cmp,omitempty"`
	ConsumerOnly  bool  `json:"consumer_only,omitempty"` // a business customer is not covered
}

// EstimateRule says when a written estimate is due.
type EstimateRule struct {
	Trigger Trigger `json:"trigger"`
	// TriggerUnverified reports that the trigger was not confirmed; it is
	// then taken strictly, and TriggerAsRead keeps what the source said.
	TriggerUnverified bool         `json:"trigger_unverified,omitempty"`
	TriggerAsRead     Trigger      `json:"trigger_as_read,omitempty"`
	ThresholdMinor    Minor        `json:"threshold_minor,omitempty"` // 0: no floor
	ThresholdCmp      Cmp          `json:"threshold_cmp,omitempty"`   // gt or ge
	Form              EstimateForm `json:"form"`
	Authorization     Form         `json:"authorization"`
	Exempt            []Exemption  `json:"exempt,omitempty"`
}

// Overage says how far an actual price may pass the authorised one.
type Overage struct {
	Kind     Kind  `json:"kind"`
	Cmp      Cmp   `json:"cmp,omitempty"`       // gt or ge: consent when excess gt / ge allowance
	PctBP    int64 `json:"pct_bp,omitempty"`    // basis points of the estimate
	AbsMinor Minor `json:"abs_minor,omitempty"` // a fixed amount
	CapMinor Minor `json:"cap_minor,omitempty"` // the cap of greater_capped
	Base     Base  `json:"base"`
	// Bands refine the percentage: by estimate (bands_pct) or by the age of
	// the vehicle (vehicle_age_pct).
	Bands        []Band       `json:"bands,omitempty"`
	Level        Level        `json:"level"`
	RevisionBase RevisionBase `json:"revision_base"`
	// AboveEstimateMinor: the tolerance exists only for an estimate greater
	// than this; at or below it there is no rule.
	AboveEstimateMinor         Minor   `json:"above_estimate_minor,omitempty"`
	ConsentForm                Form    `json:"consent_form"`
	Basis                      Basis   `json:"basis"`
	Confidence                 string  `json:"confidence,omitempty"` // "low" where sources disagree
	CustomerCanRemoveAllowance bool    `json:"customer_can_remove_allowance,omitempty"`
	AdvisoryPctBP              int64   `json:"advisory_pct_bp,omitempty"`   // a rule of thumb, not law
	AdvisoryRangeBP            []int64 `json:"advisory_range_bp,omitempty"` // what courts have spanned
	Duty                       Duty    `json:"duty,omitempty"`
	CustomerRight              string  `json:"customer_right,omitempty"`
}

// Band is one step of a percentage.
type Band struct {
	BelowEstimateMinor Minor `json:"below_estimate_minor,omitempty"` // bands_pct; 0: every other estimate
	MinModelYears      int   `json:"min_model_years,omitempty"`      // vehicle_age_pct
	PctBP              int64 `json:"pct_bp"`
}

// TeardownRule says what must be stated before a machine is taken down.
type TeardownRule struct {
	SeparateEstimate Tri    `json:"separate_estimate"`
	MustState        []Term `json:"must_state,omitempty"` // empty: the strict list applies
	Note             string `json:"note,omitempty"`
	// IfDeclined is what the shop owes, and may charge, if the customer says
	// no after the teardown; "" where the sources are silent.
	IfDeclined string `json:"if_declined,omitempty"`
}

// PartsRule says what happens to replaced parts.
type PartsRule struct {
	Return           Return      `json:"return"`
	RequestBy        RequestBy   `json:"request_by,omitempty"` // for on_request
	Exceptions       []Exception `json:"exceptions,omitempty"`
	ShowIfExcepted   bool        `json:"show_if_excepted,omitempty"`   // a part not returned is shown
	ShowBusinessDays int         `json:"show_business_days,omitempty"` // for how long; 0: not said
	ShowNotIfFree    bool        `json:"show_not_if_free,omitempty"`   // nothing is shown of a part fitted free of charge
	KeepBusinessDays int         `json:"keep_business_days,omitempty"` // how long parts wait after pick-up; 0: not said
	Note             string      `json:"note,omitempty"`
}

// WaiverRule says in what form an estimate may be waived.
type WaiverRule struct {
	Kind              WaiverKind     `json:"kind"`
	Options           []WaiverOption `json:"options,omitempty"`
	ShopMayNotRequire bool           `json:"shop_may_not_require,omitempty"`
}

// Warranty is a statutory warranty, kept for display.
type Warranty struct {
	Days  int    `json:"days"`
	Km    int    `json:"km"`
	Scope string `json:"scope"`
}
