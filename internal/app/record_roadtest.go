package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/measure"
	"benchtag/internal/shop"
)

func roadTestRules() rules[shop.RoadTest] {
	return rules[shop.RoadTest]{noun: "road_test", check: checkRoadTest}
}

// PutRoadTest records or changes a ride, or the run that replaces it. What
// must be met before anybody rides is the job's gates.
func (a *App) PutRoadTest(ctx context.Context, who auth.Principal, put Put, fill func(*shop.RoadTest)) (shop.RoadTest, bool, error) {
	return putRecord[shop.RoadTest](ctx, a, who, put, roadTestRules(), fill)
}

// StrikeRoadTest strikes a ride with a reason.
func (a *App) StrikeRoadTest(ctx context.Context, who auth.Principal, at Place, reason string) (shop.RoadTest, error) {
	return strikeRecord[shop.RoadTest](ctx, a, who, at, reason, roadTestRules(), nil)
}

func checkRoadTest(c *JobChange, was, is *shop.RoadTest) error {
	if was == nil {
		was = &shop.RoadTest{}
	}
	switch {
	case is.Kind != shop.RunKindRide && empty(is.InsteadBecause):
		return fault.Invalid("app.road_test_reason_missing", "/instead_because", "Say why this run replaces the ride.")
	case c.ahead(is.CheckedAt):
		return fault.Invalid("app.road_test_ahead", "/checked_at", "That time is still to come; check the clock of the device.")
	case is.Kind == shop.RunKindRide && is.Outcome != shop.RideOutcomeUnset && is.RiderID == "":
		return fault.Invalid("app.road_test_rider_missing", "/rider_id", "Say who rode it.")
	}
	if err := checkRider(c, was, is); err != nil {
		return err
	}
	err := refer[shop.Finding](c, reference{id: string(is.FaultFindingID), was: string(was.FaultFindingID), pointer: "/fault_finding_id", noun: "finding"})
	if err != nil {
		return err
	}
	return checkDistance(is)
}

// checkRider makes sure that whoever rides may: licensed and insured by the
// owner's word. A rider named before is not asked again, so that a ride that
// was made stays on record.
func checkRider(c *JobChange, was, is *shop.RoadTest) error {
	if is.RiderID == "" || (is.RiderID == was.RiderID && is.Kind == was.Kind) {
		return nil
	}
	rider, err := load[shop.Staff](c, string(is.RiderID))
	switch {
	case fault.Is(err, fault.NotFound):
		return fault.Invalid("app.road_test_rider_unknown", "/rider_id", "There is no such person in this shop; pick one of the list.")
	case err != nil:
		return err
	case is.Kind == shop.RunKindRide && (!rider.Rides || rider.Disabled):
		return fault.Invalid("app.road_test_rider_not_allowed", "/rider_id",
			"This person may not ride customers' machines; take someone the owner has named as licensed and insured.")
	}
	return nil
}

func checkDistance(is *shop.RoadTest) error {
	if is.OdometerOut.IsZero() || is.OdometerBack.IsZero() {
		return nil
	}
	out, errOut := quantityOf(is.OdometerOut)
	back, errBack := quantityOf(is.OdometerBack)
	if errOut == nil && errBack == nil {
		if order, err := measure.Compare(back, out); err == nil && order >= 0 {
			return nil
		}
	}
	return fault.Invalid("app.road_test_odometer_backwards", "/odometer_back", "It cannot come back with less than it went out with; read the odometer again.")
}
