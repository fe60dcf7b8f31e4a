package consent

import (
	"errors"
	"strconv"

	"benchtag/internal/fault"
)

// DecideAll tests the order and the jobs in it, and returns the strictest
// answer, the order's on a tie. Scope is always that of the whole order, and
// a job's new work, moved date or changed part counts for the order.
//
// Each job is tested on its own where the rule speaks of single jobs and
// where the strict profile answers; elsewhere only a job with a maximum of
// its own, which beats every tolerance, or with its allowance removed.
//
// It fails as [Decide] does, with a pointer into /jobs for a job.
func DecideAll(r Rule, order Change, jobs []Change) (Answer, error) {
	order = order.withFlagsOf(jobs)
	order.Level = LevelOrder
	whole, err := decideWithin(r, order, order)
	if err != nil {
		return Answer{}, err
	}
	worst := whole
	each := r.Overage.Level == LevelJob || whole.Strict
	for i, job := range jobs {
		job.Level = LevelJob
		a, err := decideWithin(r, job, order)
		if err != nil {
			return Answer{}, inJob(i, err)
		}
		tested := each || job.Limit != nil || job.AllowanceRemoved
		if tested && a.Effective == Required && worst.Effective != Required {
			a.Job = i + 1
			worst = a
		}
	}
	return worst, nil
}

// withFlagsOf is the order with what its jobs bring into it.
func (c Change) withFlagsOf(jobs []Change) Change {
	for _, j := range jobs {
		c.NewWork = c.NewWork || j.NewWork
		c.DateSlip = c.DateSlip || j.DateSlip
		c.MethodOrPart = c.MethodOrPart || j.MethodOrPart
		c.PartCondition = c.PartCondition || j.PartCondition
		c.Motorcycle = c.Motorcycle || j.Motorcycle
		c.Business = c.Business || j.Business
	}
	return c
}

// inJob points an error at a job of the list.
func inJob(i int, err error) error {
	var f *fault.Error
	if !errors.As(err, &f) || len(f.Fields) == 0 || f.Code != "consent.change_invalid" {
		return err
	}
	return fault.Invalid(f.Code, "/jobs/"+strconv.Itoa(i)+f.Fields[0].Pointer, f.Message)
}

// OrderOf is the order that consists of the jobs: its sums are theirs. A job
// without an original estimate counts with what was authorised for it. The
// machine and the currency are those of the first job that names them.
func OrderOf(jobs []Change) Change {
	var order, original Change
	for _, j := range jobs {
		first := j.Authorized
		if j.Original != nil {
			first, order.Original = *j.Original, &original.Authorized
		}
		order.Authorized = order.Authorized.plus(j.Authorized)
		original.Authorized = original.Authorized.plus(first)
		order.Actual = order.Actual.plus(j.Actual)
		if order.VehicleAge == 0 && order.ModelYear == 0 {
			order.VehicleAge, order.ModelYear, order.InYear = j.VehicleAge, j.ModelYear, j.InYear
		}
		if order.Currency == "" {
			order.Currency = j.Currency
		}
	}
	return order.withFlagsOf(jobs)
}

// plus adds two amounts; a sum out of range is refused by [Decide].
func (a Amount) plus(b Amount) Amount {
	return Amount{ExclTax: saturated(a.ExclTax, b.ExclTax), Tax: saturated(a.Tax, b.Tax)}
}

// saturated adds two amounts and stays out of range once out of range.
func saturated(a, b Minor) Minor {
	if !inRange(a) || !inRange(b) {
		return MaxMinor + 1
	}
	return a + b
}
