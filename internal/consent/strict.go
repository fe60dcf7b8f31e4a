package consent

import "benchtag/internal/fault"

// strictRecordsYears covers every retention period found in the sources.
const strictRecordsYears = 4

// ownDate is the day the built-in profiles were written down.
const ownDate = "2026-11-25"

// Strict is the profile of a shop that has chosen no rule, and the fallback
// wherever a chosen rule does not reach: a written estimate always, no
// tolerance on either tax base, consent written or electronic (spoken only
// with the full record), every change consented, parts kept and offered, the
// whole teardown list, papers kept four years. It is never looser than the
// overage rule of any jurisdiction in the data.
func Strict() Rule {
	return Rule{
		ID: StrictID, Name: "Strict default", Citation: "none: this program's own default, made to be no looser than any rule in its data",
		Retrieved: ownDate, Grounding: QualityOwn,
		Scope: Scope{Motorcycles: CoverYes},
		Estimate: EstimateRule{
			Trigger: TriggerAlways, Form: EstimateWritten, Authorization: FormWrittenOrRecorded,
		},
		Overage: Overage{
			Kind: KindZero, Cmp: Gt, Base: BaseUnspecified, Level: LevelJob, RevisionBase: LatestAuthorized,
			ConsentForm: FormWrittenOrRecorded, Basis: BasisOwn, CustomerCanRemoveAllowance: true,
		},
		Also:          Alsos(),
		Limit:         LimitWorkDescribed,
		Teardown:      &TeardownRule{SeparateEstimate: Yes, MustState: Terms()},
		ConsentRecord: RecordFieldsAll(),
		Parts:         new(strictParts()),
		RecordsYears:  strictRecordsYears,
		Sources:       []Source{{Quality: QualityOwn, What: "the union of the strictest readings in the data"}},
	}
}

// strictParts keeps and offers every replaced part; an exchange core or a
// warranty return is shown instead.
func strictParts() PartsRule {
	return PartsRule{
		Return: ReturnOffer, Exceptions: []Exception{ExceptCore, ExceptWarranty}, ShowIfExcepted: true,
	}
}

// Params are what a shop may set in a rule of its own.
type Params struct {
	Kind     Kind   `json:"kind"`                // zero, pct, abs, lesser, greater or greater_capped
	PctBP    int64  `json:"pct_bp,omitempty"`    // basis points, 0..10000
	AbsMinor Minor  `json:"abs_minor,omitempty"` // minor units of the shop's currency
	CapMinor Minor  `json:"cap_minor,omitempty"` // for greater_capped
	Cmp      Cmp    `json:"cmp"`                 // gt or ge
	Currency string `json:"currency,omitempty"`  // the shop's, ISO 4217; needed with an amount
}

// Custom makes the shop's own rule. In all but the tolerance it is the
// strict profile. Parameters the kind does not use must be zero; those it
// uses must not be. It fails with consent.params_invalid.
func Custom(p Params) (Rule, error) {
	r := Strict()
	r.ID, r.Name = CustomID, "The shop's own rule"
	r.Citation = "none: chosen by the shop; local law may be stricter"
	r.Currency = p.Currency
	r.Overage.Kind, r.Overage.Cmp = p.Kind, p.Cmp
	r.Overage.PctBP, r.Overage.AbsMinor, r.Overage.CapMinor = p.PctBP, p.AbsMinor, p.CapMinor
	r.Sources = []Source{{Quality: QualityOwn, What: "parameters set by the shop"}}
	if why := customProblem(p, r); why != "" {
		return Rule{}, fault.Invalid("consent.params_invalid", "/consent_rule", why)
	}
	return r, nil
}

// customProblem says what is wrong with a shop's parameters, or "".
func customProblem(p Params, r Rule) string {
	switch p.Kind {
	case KindZero, KindPct, KindAbs, KindLesser, KindGreater, KindGreaterCapped:
	default:
		return "Choose one of zero, pct, abs, lesser, greater or greater_capped."
	}
	if (p.AbsMinor != 0 || p.CapMinor != 0) && p.Currency == "" {
		return "Say which currency the fixed amount is in."
	}
	return ruleProblem(r)
}
