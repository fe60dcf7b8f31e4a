package api

import (
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// ShopIn is what a client sends of a shop.
type ShopIn struct {
	Name         string   `json:"name"`
	TaxMode      string   `json:"tax_mode"`
	Rounding     string   `json:"rounding"`
	TimeZone     string   `json:"time_zone"`
	ConsentRule  string   `json:"consent_rule"`
	OwnRule      *OwnRule `json:"own_rule"`
	OnePerson    bool     `json:"one_person"`
	Phone        string   `json:"phone"`
	Email        string   `json:"email"`
	Address      string   `json:"address"`
	Registration string   `json:"registration"`
	Caution      string   `json:"caution"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in ShopIn) onto(c *conv, n *shop.Shop) {
	n.Name = in.Name
	n.TaxMode = shop.TaxMode(in.TaxMode)
	n.Rounding = in.Rounding
	n.TimeZone = in.TimeZone
	n.ConsentRule = in.ConsentRule
	n.OwnRule = c.ownRule("/own_rule", in.OwnRule)
	n.OnePerson = in.OnePerson
	n.Phone = in.Phone
	n.Email = in.Email
	n.Address = in.Address
	n.Registration = in.Registration
	n.Caution = in.Caution
}

// ShopView is a shop as clients see it.
type ShopView struct {
	ID           string   `json:"id"`
	Version      int64    `json:"version"`
	Name         string   `json:"name"`
	Slug         string   `json:"slug"`
	Currency     string   `json:"currency"`
	TaxMode      string   `json:"tax_mode"`
	Rounding     string   `json:"rounding"`
	TimeZone     string   `json:"time_zone"`
	ConsentRule  string   `json:"consent_rule"`
	OwnRule      *OwnRule `json:"own_rule"`
	OnePerson    bool     `json:"one_person"`
	Demo         bool     `json:"demo"`
	Phone        string   `json:"phone"`
	Email        string   `json:"email"`
	Address      string   `json:"address"`
	Registration string   `json:"registration"`
	Caution      string   `json:"caution"`
	CreatedAt    string   `json:"created_at"`
	UpdatedAt    string   `json:"updated_at"`
}

func shopView(cur money.Currency, n shop.Shop) ShopView {
	return ShopView{
		ID: string(n.ID), Version: n.Version,
		Name:         n.Name,
		Slug:         n.Slug,
		Currency:     n.Currency,
		TaxMode:      string(n.TaxMode),
		Rounding:     n.Rounding,
		TimeZone:     n.TimeZone,
		ConsentRule:  n.ConsentRule,
		OwnRule:      ownRuleView(cur, n.OwnRule),
		OnePerson:    n.OnePerson,
		Demo:         n.Demo,
		Phone:        n.Phone,
		Email:        n.Email,
		Address:      n.Address,
		Registration: n.Registration,
		Caution:      n.Caution,
		CreatedAt:    instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// StaffIn is what a client sends of a staff.
type StaffIn struct {
	Login          string   `json:"login"`
	Name           string   `json:"name"`
	Roles          []string `json:"roles"`
	Disabled       bool     `json:"disabled"`
	Rides          bool     `json:"rides"`
	LicenceUntil   *string  `json:"licence_until"`
	SamePersonAsID *string  `json:"same_person_as_id"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in StaffIn) onto(c *conv, n *shop.Staff) {
	n.Login = in.Login
	n.Name = in.Name
	n.Roles = roles(in.Roles)
	n.Disabled = in.Disabled
	n.Rides = in.Rides
	n.LicenceUntil = c.dateOpt("/licence_until", in.LicenceUntil)
	n.SamePersonAsID = shop.StaffID(text(in.SamePersonAsID))
}

// StaffView is a staff as clients see it.
type StaffView struct {
	ID             string   `json:"id"`
	Version        int64    `json:"version"`
	Login          string   `json:"login"`
	Name           string   `json:"name"`
	Roles          []string `json:"roles"`
	HasPin         bool     `json:"has_pin"`
	Disabled       bool     `json:"disabled"`
	Rides          bool     `json:"rides"`
	LicenceUntil   *string  `json:"licence_until"`
	SamePersonAsID *string  `json:"same_person_as_id"`
	CreatedAt      string   `json:"created_at"`
	UpdatedAt      string   `json:"updated_at"`
}

func staffView(cur money.Currency, n shop.Staff) StaffView {
	return StaffView{
		ID: string(n.ID), Version: n.Version,
		Login:          n.Login,
		Name:           n.Name,
		Roles:          texts(n.Roles),
		HasPin:         n.HasPin,
		Disabled:       n.Disabled,
		Rides:          n.Rides,
		LicenceUntil:   dateView(n.LicenceUntil),
		SamePersonAsID: orNull(n.SamePersonAsID),
		CreatedAt:      instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// SessionView is a session as clients see it.
type SessionView struct {
	ID           string  `json:"id"`
	Version      int64   `json:"version"`
	StaffID      string  `json:"staff_id"`
	Kind         string  `json:"kind"`
	StartedAt    string  `json:"started_at"`
	LastUsedAt   string  `json:"last_used_at"`
	IdleUntil    string  `json:"idle_until"`
	ExpiresAt    string  `json:"expires_at"`
	EndedAt      *string `json:"ended_at"`
	EndedBecause string  `json:"ended_because"`
	UserAgent    string  `json:"user_agent"`
	CreatedAt    string  `json:"created_at"`
	UpdatedAt    string  `json:"updated_at"`
}

func sessionView(cur money.Currency, n shop.Session) SessionView {
	return SessionView{
		ID: string(n.ID), Version: n.Version,
		StaffID:      string(n.StaffID),
		Kind:         string(n.Kind),
		StartedAt:    instantView(n.StartedAt),
		LastUsedAt:   instantView(n.LastUsedAt),
		IdleUntil:    instantView(n.IdleUntil),
		ExpiresAt:    instantView(n.ExpiresAt),
		EndedAt:      instantOptView(n.EndedAt),
		EndedBecause: n.EndedBecause,
		UserAgent:    n.UserAgent,
		CreatedAt:    instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// TabletView is a tablet as clients see it.
type TabletView struct {
	ID          string  `json:"id"`
	Version     int64   `json:"version"`
	Name        string  `json:"name"`
	EnrolledAt  *string `json:"enrolled_at"`
	LastHeardAt *string `json:"last_heard_at"`
	Unsent      int64   `json:"unsent"`
	RevokedAt   *string `json:"revoked_at"`
	CreatedAt   string  `json:"created_at"`
	UpdatedAt   string  `json:"updated_at"`
}

func tabletView(cur money.Currency, n shop.Tablet) TabletView {
	return TabletView{
		ID: string(n.ID), Version: n.Version,
		Name:        n.Name,
		EnrolledAt:  instantOptView(n.EnrolledAt),
		LastHeardAt: instantOptView(n.LastHeardAt),
		Unsent:      n.Unsent,
		RevokedAt:   instantOptView(n.RevokedAt),
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// SecurityEventView is a security event as clients see it.
type SecurityEventView struct {
	ID         string  `json:"id"`
	Version    int64   `json:"version"`
	Kind       string  `json:"kind"`
	StaffID    *string `json:"staff_id"`
	HappenedAt string  `json:"happened_at"`
	IP         string  `json:"ip"`
	Note       string  `json:"note"`
	CreatedAt  string  `json:"created_at"`
	UpdatedAt  string  `json:"updated_at"`
}

func securityEventView(cur money.Currency, n shop.SecurityEvent) SecurityEventView {
	return SecurityEventView{
		ID: string(n.ID), Version: n.Version,
		Kind:       n.Kind,
		StaffID:    orNull(n.StaffID),
		HappenedAt: instantView(n.HappenedAt),
		IP:         n.IP,
		Note:       n.Note,
		CreatedAt:  instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// BayIn is what a client sends of a bay.
type BayIn struct {
	Name    string `json:"name"`
	Retired bool   `json:"retired"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in BayIn) onto(c *conv, n *shop.Bay) {
	n.Name = in.Name
	n.Retired = in.Retired
}

// BayView is a bay as clients see it.
type BayView struct {
	ID        string `json:"id"`
	Version   int64  `json:"version"`
	Name      string `json:"name"`
	Retired   bool   `json:"retired"`
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func bayView(cur money.Currency, n shop.Bay) BayView {
	return BayView{
		ID: string(n.ID), Version: n.Version,
		Name:      n.Name,
		Retired:   n.Retired,
		CreatedAt: instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// TaxCategoryIn is what a client sends of a tax category.
type TaxCategoryIn struct {
	Code    string `json:"code"`
	Label   string `json:"label"`
	RatePPM int64  `json:"rate_ppm"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in TaxCategoryIn) onto(c *conv, n *shop.TaxCategory) {
	n.Code = in.Code
	n.Label = in.Label
	n.RatePPM = in.RatePPM
}

// TaxCategoryView is a tax category as clients see it.
type TaxCategoryView struct {
	ID        string `json:"id"`
	Version   int64  `json:"version"`
	Code      string `json:"code"`
	Label     string `json:"label"`
	RatePPM   int64  `json:"rate_ppm"`
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func taxCategoryView(cur money.Currency, n shop.TaxCategory) TaxCategoryView {
	return TaxCategoryView{
		ID: string(n.ID), Version: n.Version,
		Code:      n.Code,
		Label:     n.Label,
		RatePPM:   n.RatePPM,
		CreatedAt: instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// LabourRateIn is what a client sends of a labour rate.
type LabourRateIn struct {
	Name        string `json:"name"`
	PerHour     Money  `json:"per_hour"`
	TaxCategory string `json:"tax_category"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in LabourRateIn) onto(c *conv, n *shop.LabourRate) {
	n.Name = in.Name
	n.PerHour = c.money("/per_hour", in.PerHour)
	n.TaxCategory = in.TaxCategory
}

// LabourRateView is a labour rate as clients see it.
type LabourRateView struct {
	ID          string `json:"id"`
	Version     int64  `json:"version"`
	Name        string `json:"name"`
	PerHour     Money  `json:"per_hour"`
	TaxCategory string `json:"tax_category"`
	CreatedAt   string `json:"created_at"`
	UpdatedAt   string `json:"updated_at"`
}

func labourRateView(cur money.Currency, n shop.LabourRate) LabourRateView {
	return LabourRateView{
		ID: string(n.ID), Version: n.Version,
		Name:        n.Name,
		PerHour:     moneyView(cur, n.PerHour),
		TaxCategory: n.TaxCategory,
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// GaugeIn is what a client sends of a gauge.
type GaugeIn struct {
	Name             string      `json:"name"`
	Kind             string      `json:"kind"`
	Serial           string      `json:"serial"`
	Resolution       *QuantityIn `json:"resolution"`
	Uncertainty      *QuantityIn `json:"uncertainty"`
	CalibratedOn     *string     `json:"calibrated_on"`
	CalibrationDueOn *string     `json:"calibration_due_on"`
	Certificate      string      `json:"certificate"`
	Retired          bool        `json:"retired"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in GaugeIn) onto(c *conv, n *shop.Gauge) {
	n.Name = in.Name
	n.Kind = in.Kind
	n.Serial = in.Serial
	n.Resolution = c.quantityOpt("/resolution", in.Resolution)
	n.Uncertainty = c.quantityOpt("/uncertainty", in.Uncertainty)
	n.CalibratedOn = c.dateOpt("/calibrated_on", in.CalibratedOn)
	n.CalibrationDueOn = c.dateOpt("/calibration_due_on", in.CalibrationDueOn)
	n.Certificate = in.Certificate
	n.Retired = in.Retired
}

// GaugeView is a gauge as clients see it.
type GaugeView struct {
	ID               string    `json:"id"`
	Version          int64     `json:"version"`
	Name             string    `json:"name"`
	Kind             string    `json:"kind"`
	Serial           string    `json:"serial"`
	Resolution       *Quantity `json:"resolution"`
	Uncertainty      *Quantity `json:"uncertainty"`
	CalibratedOn     *string   `json:"calibrated_on"`
	CalibrationDueOn *string   `json:"calibration_due_on"`
	Certificate      string    `json:"certificate"`
	Retired          bool      `json:"retired"`
	CreatedAt        string    `json:"created_at"`
	UpdatedAt        string    `json:"updated_at"`
}

func gaugeView(cur money.Currency, n shop.Gauge) GaugeView {
	return GaugeView{
		ID: string(n.ID), Version: n.Version,
		Name:             n.Name,
		Kind:             n.Kind,
		Serial:           n.Serial,
		Resolution:       quantityView(n.Resolution),
		Uncertainty:      quantityView(n.Uncertainty),
		CalibratedOn:     dateView(n.CalibratedOn),
		CalibrationDueOn: dateView(n.CalibrationDueOn),
		Certificate:      n.Certificate,
		Retired:          n.Retired,
		CreatedAt:        instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}
