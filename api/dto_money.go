package api

import (
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// LineIn is what a client sends of a line.
type LineIn struct {
	Kind          string  `json:"kind"`
	Description   string  `json:"description"`
	Work          string  `json:"work"`
	FindingID     *string `json:"finding_id"`
	ComplaintID   *string `json:"complaint_id"`
	QuantityMilli int64   `json:"quantity_milli"`
	Minutes       int64   `json:"minutes"`
	UnitPrice     Money   `json:"unit_price"`
	TaxCategory   string  `json:"tax_category"`
	Certainty     string  `json:"certainty"`
	Ceiling       *Money  `json:"ceiling"`
	AfterRide     bool    `json:"after_ride"`
	PartNumber    string  `json:"part_number"`
	PartCondition string  `json:"part_condition"`
	CapturedAt    *string `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in LineIn) onto(c *conv, n *shop.Line) {
	n.Kind = shop.LineKind(in.Kind)
	n.Description = in.Description
	n.Work = shop.LineWork(orElse(in.Work, "repair"))
	n.FindingID = shop.FindingID(text(in.FindingID))
	n.ComplaintID = shop.ComplaintID(text(in.ComplaintID))
	n.QuantityMilli = in.QuantityMilli
	n.Minutes = in.Minutes
	n.UnitPrice = c.money("/unit_price", in.UnitPrice)
	n.TaxCategory = in.TaxCategory
	n.Certainty = shop.Certainty(orElse(in.Certainty, "certain"))
	n.Ceiling = c.moneyOpt("/ceiling", in.Ceiling)
	n.AfterRide = in.AfterRide
	n.PartNumber = in.PartNumber
	n.PartCondition = shop.PartCondition(in.PartCondition)
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// LineView is a line as clients see it.
type LineView struct {
	ID            string  `json:"id"`
	Version       int64   `json:"version"`
	WorkOrderID   string  `json:"work_order_id"`
	JobID         string  `json:"job_id"`
	Kind          string  `json:"kind"`
	Description   string  `json:"description"`
	Work          string  `json:"work"`
	FindingID     *string `json:"finding_id"`
	ComplaintID   *string `json:"complaint_id"`
	QuantityMilli int64   `json:"quantity_milli"`
	Minutes       int64   `json:"minutes"`
	UnitPrice     Money   `json:"unit_price"`
	TaxCategory   string  `json:"tax_category"`
	Certainty     string  `json:"certainty"`
	Ceiling       *Money  `json:"ceiling"`
	AfterRide     bool    `json:"after_ride"`
	PartNumber    string  `json:"part_number"`
	PartCondition string  `json:"part_condition"`
	State         string  `json:"state"`
	ConsentID     *string `json:"consent_id"`
	DoneBy        *string `json:"done_by"`
	DoneAt        *string `json:"done_at"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func lineView(cur money.Currency, n shop.Line) LineView {
	return LineView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:   string(n.WorkOrderID),
		JobID:         string(n.JobID),
		Kind:          string(n.Kind),
		Description:   n.Description,
		Work:          string(n.Work),
		FindingID:     orNull(n.FindingID),
		ComplaintID:   orNull(n.ComplaintID),
		QuantityMilli: n.QuantityMilli,
		Minutes:       n.Minutes,
		UnitPrice:     moneyView(cur, n.UnitPrice),
		TaxCategory:   n.TaxCategory,
		Certainty:     string(n.Certainty),
		Ceiling:       moneyOptView(cur, n.Ceiling),
		AfterRide:     n.AfterRide,
		PartNumber:    n.PartNumber,
		PartCondition: string(n.PartCondition),
		State:         string(n.State),
		ConsentID:     orNull(n.ConsentID),
		DoneBy:        orNull(n.DoneBy),
		DoneAt:        instantOptView(n.DoneAt),
		StruckView:    struckView(n.Struck),
		OriginView:    originView(n.Origin),
		CreatedAt:     instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// PartOrderIn is what a client sends of a part order.
type PartOrderIn struct {
	LineID        *string `json:"line_id"`
	PartNumber    string  `json:"part_number"`
	Description   string  `json:"description"`
	Supplier      string  `json:"supplier"`
	QuantityMilli int64   `json:"quantity_milli"`
	OrderedOn     *string `json:"ordered_on"`
	PromisedOn    *string `json:"promised_on"`
	ArrivedOn     *string `json:"arrived_on"`
	PriceThen     *Money  `json:"price_then"`
	PriceNow      *Money  `json:"price_now"`
	SupersededBy  string  `json:"superseded_by"`
	CapturedAt    *string `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in PartOrderIn) onto(c *conv, n *shop.PartOrder) {
	n.LineID = shop.LineID(text(in.LineID))
	n.PartNumber = in.PartNumber
	n.Description = in.Description
	n.Supplier = in.Supplier
	n.QuantityMilli = in.QuantityMilli
	n.OrderedOn = c.dateOpt("/ordered_on", in.OrderedOn)
	n.PromisedOn = c.dateOpt("/promised_on", in.PromisedOn)
	n.ArrivedOn = c.dateOpt("/arrived_on", in.ArrivedOn)
	n.PriceThen = c.moneyOpt("/price_then", in.PriceThen)
	n.PriceNow = c.moneyOpt("/price_now", in.PriceNow)
	n.SupersededBy = in.SupersededBy
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// PartOrderView is a part order as clients see it.
type PartOrderView struct {
	ID            string  `json:"id"`
	Version       int64   `json:"version"`
	WorkOrderID   string  `json:"work_order_id"`
	JobID         string  `json:"job_id"`
	LineID        *string `json:"line_id"`
	PartNumber    string  `json:"part_number"`
	Description   string  `json:"description"`
	Supplier      string  `json:"supplier"`
	QuantityMilli int64   `json:"quantity_milli"`
	OrderedOn     *string `json:"ordered_on"`
	PromisedOn    *string `json:"promised_on"`
	ArrivedOn     *string `json:"arrived_on"`
	PriceThen     *Money  `json:"price_then"`
	PriceNow      *Money  `json:"price_now"`
	SupersededBy  string  `json:"superseded_by"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func partOrderView(cur money.Currency, n shop.PartOrder) PartOrderView {
	return PartOrderView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:   string(n.WorkOrderID),
		JobID:         string(n.JobID),
		LineID:        orNull(n.LineID),
		PartNumber:    n.PartNumber,
		Description:   n.Description,
		Supplier:      n.Supplier,
		QuantityMilli: n.QuantityMilli,
		OrderedOn:     dateView(n.OrderedOn),
		PromisedOn:    dateView(n.PromisedOn),
		ArrivedOn:     dateView(n.ArrivedOn),
		PriceThen:     moneyOptView(cur, n.PriceThen),
		PriceNow:      moneyOptView(cur, n.PriceNow),
		SupersededBy:  n.SupersededBy,
		StruckView:    struckView(n.Struck),
		OriginView:    originView(n.Origin),
		CreatedAt:     instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// BenchTimeIn is what a client sends of a bench time.
type BenchTimeIn struct {
	StartedAt  string  `json:"started_at"`
	EndedAt    *string `json:"ended_at"`
	Work       string  `json:"work"`
	CapturedAt *string `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in BenchTimeIn) onto(c *conv, n *shop.BenchTime) {
	n.StartedAt = c.instant("/started_at", in.StartedAt)
	n.EndedAt = c.instantOpt("/ended_at", in.EndedAt)
	n.Work = in.Work
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// BenchTimeView is a bench time as clients see it.
type BenchTimeView struct {
	ID          string  `json:"id"`
	Version     int64   `json:"version"`
	WorkOrderID string  `json:"work_order_id"`
	JobID       string  `json:"job_id"`
	StaffID     string  `json:"staff_id"`
	StartedAt   string  `json:"started_at"`
	EndedAt     *string `json:"ended_at"`
	Work        string  `json:"work"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func benchTimeView(cur money.Currency, n shop.BenchTime) BenchTimeView {
	return BenchTimeView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID: string(n.WorkOrderID),
		JobID:       string(n.JobID),
		StaffID:     string(n.StaffID),
		StartedAt:   instantView(n.StartedAt),
		EndedAt:     instantOptView(n.EndedAt),
		Work:        n.Work,
		StruckView:  struckView(n.Struck),
		OriginView:  originView(n.Origin),
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// PromiseIn is what a client sends of a promise.
type PromiseIn struct {
	What       string  `json:"what"`
	PromisedOn string  `json:"promised_on"`
	CapturedAt *string `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in PromiseIn) onto(c *conv, n *shop.Promise) {
	n.What = in.What
	n.PromisedOn = c.date("/promised_on", in.PromisedOn)
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// PromiseView is a promise as clients see it.
type PromiseView struct {
	ID          string  `json:"id"`
	Version     int64   `json:"version"`
	WorkOrderID string  `json:"work_order_id"`
	JobID       string  `json:"job_id"`
	What        string  `json:"what"`
	PromisedOn  *string `json:"promised_on"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func promiseView(cur money.Currency, n shop.Promise) PromiseView {
	return PromiseView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID: string(n.WorkOrderID),
		JobID:       string(n.JobID),
		What:        n.What,
		PromisedOn:  dateView(n.PromisedOn),
		StruckView:  struckView(n.Struck),
		OriginView:  originView(n.Origin),
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// ScopeIn is what a client sends of a scope.
type ScopeIn struct {
	Title         string         `json:"title"`
	Kind          string         `json:"kind"`
	LineIDs       []string       `json:"line_ids"`
	WhatWeDo      string         `json:"what_we_do"`
	StaysUnknown  string         `json:"stays_unknown"`
	EarliestOn    *string        `json:"earliest_on"`
	MayRide       string         `json:"may_ride"`
	RideNote      string         `json:"ride_note"`
	Warranty      string         `json:"warranty"`
	Deposit       *Money         `json:"deposit"`
	TeardownTerms *TeardownTerms `json:"teardown_terms"`
	CapturedAt    *string        `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in ScopeIn) onto(c *conv, n *shop.Scope) {
	n.Title = in.Title
	n.Kind = shop.ScopeKind(in.Kind)
	n.LineIDs = list(in.LineIDs)
	n.WhatWeDo = in.WhatWeDo
	n.StaysUnknown = in.StaysUnknown
	n.EarliestOn = c.dateOpt("/earliest_on", in.EarliestOn)
	n.MayRide = shop.RideAnswer(orElse(in.MayRide, "not_known"))
	n.RideNote = in.RideNote
	n.Warranty = in.Warranty
	n.Deposit = c.moneyOpt("/deposit", in.Deposit)
	n.TeardownTerms = c.teardownTerms("/teardown_terms", in.TeardownTerms)
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// ScopeView is a scope as clients see it.
type ScopeView struct {
	ID            string         `json:"id"`
	Version       int64          `json:"version"`
	WorkOrderID   string         `json:"work_order_id"`
	JobID         string         `json:"job_id"`
	Title         string         `json:"title"`
	Kind          string         `json:"kind"`
	LineIDs       []string       `json:"line_ids"`
	WhatWeDo      string         `json:"what_we_do"`
	StaysUnknown  string         `json:"stays_unknown"`
	EarliestOn    *string        `json:"earliest_on"`
	MayRide       string         `json:"may_ride"`
	RideNote      string         `json:"ride_note"`
	Warranty      string         `json:"warranty"`
	Deposit       *Money         `json:"deposit"`
	TeardownTerms *TeardownTerms `json:"teardown_terms"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func scopeView(cur money.Currency, n shop.Scope) ScopeView {
	return ScopeView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:   string(n.WorkOrderID),
		JobID:         string(n.JobID),
		Title:         n.Title,
		Kind:          string(n.Kind),
		LineIDs:       texts(n.LineIDs),
		WhatWeDo:      n.WhatWeDo,
		StaysUnknown:  n.StaysUnknown,
		EarliestOn:    dateView(n.EarliestOn),
		MayRide:       string(n.MayRide),
		RideNote:      n.RideNote,
		Warranty:      n.Warranty,
		Deposit:       moneyOptView(cur, n.Deposit),
		TeardownTerms: teardownTermsView(cur, n.TeardownTerms),
		StruckView:    struckView(n.Struck),
		OriginView:    originView(n.Origin),
		CreatedAt:     instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// OfferView is a offer as clients see it.
type OfferView struct {
	ID          string   `json:"id"`
	Version     int64    `json:"version"`
	WorkOrderID string   `json:"work_order_id"`
	JobID       string   `json:"job_id"`
	Number      int64    `json:"number"`
	Kind        string   `json:"kind"`
	ScopeIDs    []string `json:"scope_ids"`
	SHA256      string   `json:"sha256"`
	RuleID      string   `json:"rule_id"`
	PriceUntil  *string  `json:"price_until"`
	State       string   `json:"state"`
	NewFindings bool     `json:"new_findings"`
	AskedBy     string   `json:"asked_by"`
	AskedAt     string   `json:"asked_at"`
	CreatedAt   string   `json:"created_at"`
	UpdatedAt   string   `json:"updated_at"`
}

func offerView(cur money.Currency, n shop.Offer) OfferView {
	return OfferView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID: string(n.WorkOrderID),
		JobID:       string(n.JobID),
		Number:      n.Number,
		Kind:        string(n.Kind),
		ScopeIDs:    texts(n.ScopeIDs),
		SHA256:      n.SHA256,
		RuleID:      n.RuleID,
		PriceUntil:  dateView(n.PriceUntil),
		State:       string(n.State),
		NewFindings: n.NewFindings,
		AskedBy:     string(n.AskedBy),
		AskedAt:     instantView(n.AskedAt),
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// OfferLinkView is a offer link as clients see it.
type OfferLinkView struct {
	ID          string  `json:"id"`
	Version     int64   `json:"version"`
	WorkOrderID string  `json:"work_order_id"`
	JobID       string  `json:"job_id"`
	OfferID     string  `json:"offer_id"`
	ViewUntil   string  `json:"view_until"`
	DecideUntil string  `json:"decide_until"`
	RevokedAt   *string `json:"revoked_at"`
	UsedAt      *string `json:"used_at"`
	CreatedAt   string  `json:"created_at"`
	UpdatedAt   string  `json:"updated_at"`
}

func offerLinkView(cur money.Currency, n shop.OfferLink) OfferLinkView {
	return OfferLinkView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID: string(n.WorkOrderID),
		JobID:       string(n.JobID),
		OfferID:     string(n.OfferID),
		ViewUntil:   instantView(n.ViewUntil),
		DecideUntil: instantView(n.DecideUntil),
		RevokedAt:   instantOptView(n.RevokedAt),
		UsedAt:      instantOptView(n.UsedAt),
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// ConsentIn is what a client sends of a consent.
type ConsentIn struct {
	OfferID       *string `json:"offer_id"`
	ScopeID       *string `json:"scope_id"`
	Kind          string  `json:"kind"`
	Decision      string  `json:"decision"`
	Method        string  `json:"method"`
	TypedName     string  `json:"typed_name"`
	Relation      string  `json:"relation"`
	IdentifiedHow string  `json:"identified_how"`
	ContactUsed   string  `json:"contact_used"`
	SaidAt        string  `json:"said_at"`
	ShownSHA256   string  `json:"shown_sha256"`
	LimitAmount   *Money  `json:"limit_amount"`
	CopyTo        string  `json:"copy_to"`
	Note          string  `json:"note"`
	DeviceTime    string  `json:"device_time"`
	ShownAs       string  `json:"shown_as"`
	ReadOutSHA256 string  `json:"read_out_sha256"`
	SaidBack      string  `json:"said_back"`
	ReadyOn       *string `json:"ready_on"`
	DayStands     bool    `json:"day_stands"`
	// ElectronicAgreed is the consent to electronic form, asked apart.
	ElectronicAgreed bool `json:"electronic_agreed"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in ConsentIn) onto(c *conv, n *shop.Consent) {
	n.OfferID = shop.OfferID(text(in.OfferID))
	n.ScopeID = shop.ScopeID(text(in.ScopeID))
	n.Kind = shop.ConsentKind(in.Kind)
	n.Decision = shop.Decision(in.Decision)
	n.Method = shop.ConsentMethod(in.Method)
	n.TypedName = in.TypedName
	n.Relation = in.Relation
	n.IdentifiedHow = in.IdentifiedHow
	n.ContactUsed = in.ContactUsed
	n.DeviceTime, n.ShownAs, n.ReadOutSHA256 = in.DeviceTime, shop.ShownAs(in.ShownAs), in.ReadOutSHA256
	n.SaidBack, n.DayStands, n.ElectronicAgreed = in.SaidBack, in.DayStands, in.ElectronicAgreed
	n.ReadyOn = c.dateOpt("/ready_on", in.ReadyOn)
	if in.SaidAt != "" { // left out in the shop, it is now
		n.SaidAt = c.instant("/said_at", in.SaidAt)
	}
	n.ShownSHA256 = in.ShownSHA256
	n.LimitAmount = c.moneyOpt("/limit_amount", in.LimitAmount)
	n.CopyTo = in.CopyTo
	n.Note = in.Note
}

// ConsentView is a consent as clients see it.
type ConsentView struct {
	ID                string  `json:"id"`
	Version           int64   `json:"version"`
	WorkOrderID       string  `json:"work_order_id"`
	JobID             string  `json:"job_id"`
	OfferID           *string `json:"offer_id"`
	ScopeID           *string `json:"scope_id"`
	Kind              string  `json:"kind"`
	Decision          string  `json:"decision"`
	Method            string  `json:"method"`
	TypedName         string  `json:"typed_name"`
	Relation          string  `json:"relation"`
	IdentifiedHow     string  `json:"identified_how"`
	ContactUsed       string  `json:"contact_used"`
	TakenBy           *string `json:"taken_by"`
	SaidAt            string  `json:"said_at"`
	DeviceTime        string  `json:"device_time"`
	ShownSHA256       string  `json:"shown_sha256"`
	LimitAmount       *Money  `json:"limit_amount"`
	Net               Money   `json:"net"`
	Tax               Money   `json:"tax"`
	Gross             Money   `json:"gross"`
	Wording           string  `json:"wording"`
	ElectronicVersion string  `json:"electronic_version"`
	CopyTo            string  `json:"copy_to"`
	CopySentAt        *string `json:"copy_sent_at"`
	Note              string  `json:"note"`
	RevokedAt         *string `json:"revoked_at"`
	ShownAs           string  `json:"shown_as"`
	ReadOutSHA256     string  `json:"read_out_sha256"`
	SaidBack          string  `json:"said_back"`
	ReadyOn           *string `json:"ready_on"`
	DayStands         bool    `json:"day_stands"`
	ElectronicAgreed  bool    `json:"electronic_agreed"`
	StaffName         string  `json:"staff_name"`
	Act               string  `json:"act"`
	Meaning           string  `json:"meaning"`
	JournalSequence   int64   `json:"journal_sequence"`
	CreatedAt         string  `json:"created_at"`
	UpdatedAt         string  `json:"updated_at"`
}

func consentView(cur money.Currency, n shop.Consent) ConsentView {
	return ConsentView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:       string(n.WorkOrderID),
		JobID:             string(n.JobID),
		OfferID:           orNull(n.OfferID),
		ScopeID:           orNull(n.ScopeID),
		Kind:              string(n.Kind),
		Decision:          string(n.Decision),
		Method:            string(n.Method),
		TypedName:         n.TypedName,
		Relation:          n.Relation,
		IdentifiedHow:     n.IdentifiedHow,
		ContactUsed:       n.ContactUsed,
		TakenBy:           orNull(n.TakenBy),
		SaidAt:            instantView(n.SaidAt),
		DeviceTime:        n.DeviceTime,
		ShownSHA256:       n.ShownSHA256,
		LimitAmount:       moneyOptView(cur, n.LimitAmount),
		Net:               moneyView(cur, n.Net),
		Tax:               moneyView(cur, n.Tax),
		Gross:             moneyView(cur, n.Gross),
		Wording:           n.Wording,
		ElectronicVersion: n.ElectronicVersion,
		CopyTo:            n.CopyTo,
		CopySentAt:        instantOptView(n.CopySentAt),
		Note:              n.Note,
		RevokedAt:         instantOptView(n.RevokedAt),
		ShownAs:           string(n.ShownAs),
		ReadOutSHA256:     n.ReadOutSHA256,
		SaidBack:          n.SaidBack,
		ReadyOn:           dateView(n.ReadyOn),
		DayStands:         n.DayStands,
		ElectronicAgreed:  n.ElectronicAgreed,
		StaffName:         n.StaffName,
		Act:               n.Act,
		Meaning:           n.Meaning,
		JournalSequence:   n.JournalSequence,
		CreatedAt:         instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}
