package consent

import "slices"

// EstimateAsk is a job about to be priced.
type EstimateAsk struct {
	Total      Minor `json:"total"`               // expected total, minor units, on the tax base of the rule
	Requested  bool  `json:"requested,omitempty"` // the customer asked for a written estimate
	Waived     Given `json:"waived,omitempty"`    // how the customer declined one; "" for not at all
	HasMaximum bool  `json:"maximum,omitempty"`   // the decline names a maximum
	// Remote says that the job was taken in without meeting the customer.
	Remote     bool `json:"no_face_to_face,omitempty"`
	Motorcycle bool `json:"motorcycle,omitempty"` // the machine is one
	Business   bool `json:"business,omitempty"`   // the customer is a business
	// Currency is the shop's, ISO 4217; empty: the rule's.
	Currency string `json:"currency,omitempty"`
}

// EstimateNeeded reports whether the rule asks for a written estimate before
// work, with a sentence that says why. Where the rule does not cover the
// machine, the customer or so large a total, the strict profile answers: always.
func EstimateNeeded(r Rule, q EstimateAsk) (bool, string) {
	if why := estimateGap(r, q); why != "" {
		return true, why + " The strict default applies: a written estimate always."
	}
	e, in := r.Estimate, coinOf(r, q.Currency)
	if e.ThresholdMinor > 0 && !meets(q.Total, e.ThresholdCmp, e.ThresholdMinor) {
		return false, "The expected total of " + in.amount(q.Total) + " is not " + words(e.ThresholdCmp) + " " + in.amount(e.ThresholdMinor) + "."
	}
	if q.Remote && slices.Contains(e.Exempt, NoFaceToFace) {
		return false, "This rule leaves out a job taken in without meeting the customer. The customer must still agree to a price before work."
	}
	switch e.Trigger {
	case TriggerNone:
		return false, "This rule asks for no written estimate. One is still the safer way."
	case TriggerOnRequest:
		if !q.Requested {
			return false, "The customer has not asked for a written estimate."
		}
		return true, "The customer asked for a written estimate."
	case TriggerUnlessWaived, TriggerOfferChoice, TriggerDeclinedWithMax:
		return waivable(r, q)
	}
	return true, "This rule asks for a written estimate every time."
}

// estimateGap says why the rule does not reach the job, or "".
func estimateGap(r Rule, q EstimateAsk) string {
	s := r.Scope
	switch {
	case q.Total < 0:
		return "The expected total is not known."
	case q.Motorcycle && s.Motorcycles == CoverNo:
		return "This rule leaves motorcycles out."
	case q.Business && s.ConsumerOnly:
		return "This rule covers consumers only."
	case q.Currency != "" && r.Currency != "" && q.Currency != r.Currency:
		return "The amounts of this rule are in " + r.Currency + ", not in the shop's currency."
	case s.MaxTotalMinor > 0 && !meets(q.Total, s.MaxCmp, s.MaxTotalMinor):
		return "The total is larger than this rule covers."
	}
	return ""
}

// waivable answers where the customer may decline, if in the right form.
func waivable(r Rule, q EstimateAsk) (bool, string) {
	if q.Waived == "" {
		return true, "The customer has not declined a written estimate."
	}
	kind := WaiverUnspecified
	if r.Waiver != nil {
		kind = r.Waiver.Kind
	}
	switch {
	case q.Waived == GivenSpoken || !among(q.Waived, Givens()):
		return true, "A spoken decline is not enough; have it written, or write the estimate."
	case kind == WaiverHandwritten && q.Waived != GivenByHand:
		return true, "Under this rule the customer must write the decline out by hand and sign it."
	case kind == WaiverFixedMax && !q.Waived.onPaper():
		return true, "Under this rule the decline must be written on paper and signed."
	case (kind == WaiverFixedMax || r.Estimate.Trigger == TriggerDeclinedWithMax) && !q.HasMaximum:
		return true, "Under this rule a decline counts only with a maximum the customer names."
	}
	return false, "The customer declined a written estimate on record."
}

// meets reports whether total cmp bound holds.
func meets(total Minor, cmp Cmp, bound Minor) bool {
	switch cmp {
	case Gt:
		return total > bound
	case Ge:
		return total >= bound
	case Lt:
		return total < bound
	}
	return total <= bound
}
