package estimate_test

import (
	"math/big"
	"sort"

	"benchtag/internal/estimate"
	"benchtag/internal/money"
)

// This file works a document out a second time, straight from the
// definitions, in exact fractions and without regard to speed.

// naiveRound picks between the two neighbouring multiples of the rule's step
// by distance. Nothing in an estimate is negative.
func naiveRound(exact *big.Rat, r money.Rounding) *big.Int {
	size := new(big.Rat).Quo(exact, new(big.Rat).SetInt64(r.Step()))
	below := new(big.Int).Quo(size.Num(), size.Denom())
	over := new(big.Rat).Sub(size, new(big.Rat).SetInt(below))
	c := over.Cmp(big.NewRat(1, 2))
	up := false
	switch r {
	case money.Down:
	case money.Up:
		up = over.Sign() > 0
	case money.HalfEven:
		up = c > 0 || c == 0 && below.Bit(0) == 1
	default:
		up = c >= 0
	}
	if up {
		below.Add(below, big.NewInt(1))
	}
	return below.Mul(below, big.NewInt(r.Step()))
}

func rat(n int64) *big.Rat { return new(big.Rat).SetInt64(n) }

// naiveAmount is quantity times price of one line, rounded.
func naiveAmount(line estimate.Line, r money.Rounding) *big.Int {
	exact := rat(int64(line.UnitPrice))
	if line.Kind == estimate.Labour {
		exact.Mul(exact, big.NewRat(line.Minutes, 60))
	} else {
		exact.Mul(exact, big.NewRat(line.Milli, 1000))
	}
	return naiveRound(exact, r)
}

// naiveEnd is what a line adds at one end.
func naiveEnd(line estimate.Line, rules estimate.Rules, high bool) *big.Int {
	amount := naiveAmount(line, rules.LineRounding)
	if line.Certainty == estimate.Certain {
		return amount
	}
	if !high {
		return new(big.Int)
	}
	ceiling := big.NewInt(int64(line.Ceiling))
	if ceiling.Cmp(amount) > 0 {
		return ceiling
	}
	return amount
}

// naiveTax is the tax on (or in) a category's subtotal.
func naiveTax(base *big.Int, tax estimate.Tax, rules estimate.Rules) *big.Int {
	rate := big.NewRat(int64(tax.Rate), 1_000_000)
	exact := new(big.Rat).Mul(new(big.Rat).SetInt(base), rate)
	if rules.Mode == estimate.Inclusive {
		exact.Quo(exact, new(big.Rat).Add(rat(1), rate))
	}
	return naiveRound(exact, rules.TaxRounding)
}

// naiveTotals holds the three sums of one end and each line's tax.
type naiveTotals struct {
	Net, Tax, Difference, Gross string
	LineTax                     map[string]string
}

func naiveTotal(lines []estimate.Line, rules estimate.Rules, high bool) naiveTotals {
	base, taxes := new(big.Int), new(big.Int)
	lineTax := map[string]string{}
	for _, tax := range rules.Taxes {
		var members []estimate.Line
		subtotal := new(big.Int)
		for _, line := range lines {
			if line.TaxCategory == tax.Category {
				members = append(members, line)
				subtotal.Add(subtotal, naiveEnd(line, rules, high))
			}
		}
		due := naiveTax(subtotal, tax, rules)
		base.Add(base, subtotal)
		taxes.Add(taxes, due)
		naiveDivide(lineTax, members, due, func(l estimate.Line) *big.Int { return naiveEnd(l, rules, high) })
	}
	net, gross := new(big.Int).Set(base), new(big.Int).Add(base, taxes)
	if rules.Mode == estimate.Inclusive {
		net, gross = new(big.Int).Sub(base, taxes), new(big.Int).Set(base)
	}
	paid := new(big.Int).Set(gross)
	if rules.CashRounding != "" {
		paid = naiveRound(new(big.Rat).SetInt(gross), rules.CashRounding)
	}
	return naiveTotals{net.String(), taxes.String(), new(big.Int).Sub(paid, gross).String(), paid.String(), lineTax}
}

// naiveDivide hands a category's tax to its lines: whole quotas first, then
// one unit at a time to the largest remainder, ties to the lower ID.
func naiveDivide(out map[string]string, members []estimate.Line, due *big.Int, weight func(estimate.Line) *big.Int) {
	sort.Slice(members, func(a, b int) bool { return members[a].ID < members[b].ID })
	sum := new(big.Int)
	for _, line := range members {
		sum.Add(sum, weight(line))
	}
	left := new(big.Int).Set(due)
	shares, rests := make([]*big.Int, len(members)), make([]*big.Rat, len(members))
	for i, line := range members {
		quota := new(big.Rat)
		if sum.Sign() > 0 {
			quota.SetFrac(new(big.Int).Mul(due, weight(line)), sum)
		}
		shares[i] = new(big.Int).Quo(quota.Num(), quota.Denom())
		rests[i] = quota.Sub(quota, new(big.Rat).SetInt(shares[i]))
		left.Sub(left, shares[i])
	}
	for ; left.Sign() > 0; left.Sub(left, big.NewInt(1)) {
		best := 0
		for i := range rests {
			if rests[i].Cmp(rests[best]) > 0 {
				best = i
			}
		}
		shares[best].Add(shares[best], big.NewInt(1))
		rests[best] = rat(-1)
	}
	for i, line := range members {
		out[line.ID] = shares[i].String()
	}
}

// simplified brings a result of the engine into the reference's shape.
func simplified(result estimate.Result, high bool) naiveTotals {
	sum := result.Totals.Low
	if high {
		sum = result.Totals.High
	}
	out := naiveTotals{digits(sum.Net), digits(sum.Tax), digits(sum.RoundingDifference), digits(sum.Gross), map[string]string{}}
	for _, line := range result.Lines {
		share := line.Shares.Low
		if high {
			share = line.Shares.High
		}
		out.LineTax[line.ID] = digits(share.Tax)
	}
	return out
}

func digits(a money.Amount) string { return big.NewInt(int64(a)).String() }
