package money

import (
	"strings"

	"benchtag/internal/fault"
)

// Currency is an ISO 4217 alphabetic code in capitals, such as "EUR".
type Currency string

// The active codes of ISO 4217 by number of minor-unit digits. Codes without
// a minor unit (precious metals, bond-market units, drawing rights, testing,
// none) are left out: no shop bills in them. Source: ISO 4217 list one, from
// memory; the tests hold it against CLDR 48.
const (
	noDigits = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"

	twoDigits = "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN BZD " +
		"CAD CDF CHE CHF CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP " +
		"GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT " +
		"LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN " +
		"NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP " +
		"SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS " +
		"VED VES WST XAD XCD XCG YER ZAR ZMW ZWG"

	threeDigits = "BHD IQD JOD KWD LYD OMR TND"

	fourDigits = "CLF UYW"
)

// Currencies lists every code the package knows, grouped by number of
// digits and in alphabetical order inside a group.
func Currencies() []Currency {
	var all []Currency
	for _, group := range []string{noDigits, twoDigits, threeDigits, fourDigits} {
		for _, code := range strings.Fields(group) {
			all = append(all, Currency(code))
		}
	}
	return all
}

// ParseCurrency takes an active ISO 4217 code in capitals. Anything else is
// a money.currency_unknown error.
func ParseCurrency(text string) (Currency, error) {
	c := Currency(text)
	if !c.Known() {
		return "", fault.New(fault.Meaning, "money.currency_unknown",
			"Give the currency as its three capital letters of ISO 4217, such as USD, EUR or JPY.")
	}
	return c, nil
}

// Known reports whether the code is an active one with a minor unit.
func (c Currency) Known() bool {
	return c.in(twoDigits) || c.in(noDigits) || c.in(threeDigits) || c.in(fourDigits)
}

// Digits is how many decimal digits the minor unit takes: 2 for cents, 0 for
// yen, 3 for fils, 4 for the unidad de fomento. An unknown code counts as 2.
func (c Currency) Digits() int {
	switch {
	case c.in(noDigits):
		return 0
	case c.in(threeDigits):
		return 3
	case c.in(fourDigits):
		return 4
	}
	return 2
}

// in reports whether the code stands in a group. Three letters without a
// space can only match a whole code there.
func (c Currency) in(group string) bool {
	return len(c) == 3 && !strings.Contains(string(c), " ") && strings.Contains(group, string(c))
}
