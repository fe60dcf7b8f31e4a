package flow

import (
	"time"

	"benchtag/internal/fault"
)

// live reports that the joint is critical and still stands.
func (t Fastening) live() bool { return t.Critical && !t.Struck }

// checked reports that a done joint was checked by somebody who counts.
func (t Fastening) checked(onePerson bool) bool {
	if !t.Checked || t.CheckedBy == "" || t.DoneBy == "" {
		return false
	}
	if t.CheckedBy != t.DoneBy {
		return true
	}
	return onePerson && t.SelfReinspection
}

// PassHoldPoint gives what stands in the way of passing one hold point: each
// of its critical fastenings must be done and checked, or struck with a
// reason. A hold point the facts do not know cannot be passed.
func PassHoldPoint(f Facts, id string) []fault.Gate {
	if !some(f.HoldPoints, func(h HoldPoint) bool { return h.ID == id }) {
		return []fault.Gate{holdPointUnknown.on(Row{ID: id})}
	}
	own := Facts{OnePersonShop: f.OnePersonShop}
	for _, t := range f.Fastenings {
		if t.HoldPoint == id {
			own.Fastenings = append(own.Fastenings, t)
		}
	}
	return step{gates: invariants}.unmet(&own)
}

var holdPointUnknown = gate{
	code: "repair.hold_point_unknown", where: atHoldPoints, safety: true,
	text: "There is no such hold point on this job. Pick one of its own.",
}

// SelfCheckAfter is how long a lone technician must leave a joint alone
// before re-inspecting it. Common practice, no source: long enough to come
// back to it with fresh eyes.
const SelfCheckAfter = 30 * time.Minute

// SignOnGood is how long ago the second person may have signed on for it.
const SignOnGood = 2 * time.Minute

// Target is what a joint is tightened to. Words carry what has no figure,
// such as which way a joining link's clip faces.
type Target struct {
	MilliNewtonMetres int64 // 0 when the joint has no torque
	MilliDegrees      int64 // angle after the torque; 0 when there is none
	Words             string
}

// near allows for a manual that prints two units side by side, rounded: the
// torques may lie 2 % apart. Common practice, no source. Angle and words must
// be the same.
func (t Target) near(u Target) bool {
	return t.MilliDegrees == u.MilliDegrees && t.Words == u.Words && close2(t, u.MilliNewtonMetres)
}

func close2(t Target, reading int64) bool {
	want := t.MilliNewtonMetres
	if want <= 0 || reading <= 0 || want > maxTorque || reading > maxTorque {
		return want == reading
	}
	gap := want - reading
	if gap < 0 {
		gap = -gap
	}
	return gap*50 <= want
}

// maxTorque bounds the arithmetic; no joint on a motorcycle comes near it.
const maxTorque = int64(1) << 40

// SecondLook is one check of one critical fastening by a second person, or by
// the same person later in a one-person shop.
type SecondLook struct {
	Row
	Struck   bool
	Done     bool
	DoneBy   string // the person, not the account
	Checker  string // the person, not the account
	SignedOn bool   // the checker signed on afresh, at most SignOnGood ago
	ToolGood bool   // the wrench was inside its calibration when the joint was tightened

	Recorded Target // what the one who tightened it recorded
	LookedUp Target // what the checker looked up alone
	// Wrench is the setting the checker read off it, in millinewton metres.
	// It is not asked for where the target has no torque.
	Wrench  int64
	Watched bool // the checker watched the pull; nobody pulls twice to check
	Marked  bool // the checker paint-marked it

	OnePersonShop    bool
	SelfReinspection bool
	SinceDone        time.Duration // from the tightening to the check
}

// self reports a re-inspection by the person who tightened it.
func (s SecondLook) self() bool { return s.SelfReinspection && s.Checker == s.DoneBy }

type lookGate struct {
	gate
	missing func(SecondLook) bool
}

func look(code, text string, missing func(SecondLook) bool) lookGate {
	return lookGate{gate{code: "fastenings." + code, where: atFastenings, safety: true, noun: "this fastening", text: text}, missing}
}

var secondLook = []lookGate{
	look("struck", "The line for {name} is struck: there is nothing to check.",
		func(s SecondLook) bool { return s.Struck }),
	look("not_done", "Tighten {name} first; the check comes after.",
		func(s SecondLook) bool { return !s.Done || s.DoneBy == "" }),
	look("checker_is_doer", "Whoever tightened {name} cannot be the one who checks it. Get a second person.",
		func(s SecondLook) bool { return s.Checker == s.DoneBy && !s.SelfReinspection }),
	look("second_person_there", "There is a second person in this shop: let them check {name}.",
		func(s SecondLook) bool { return s.SelfReinspection && !s.OnePersonShop }),
	look("too_soon", "Leave {name} alone for half an hour, then look at it again with fresh eyes.",
		func(s SecondLook) bool { return s.self() && s.SinceDone < SelfCheckAfter }),
	look("not_signed_on", "The one who checks {name} signs on afresh with their own PIN.",
		func(s SecondLook) bool { return !s.SignedOn || s.Checker == "" }),
	look("tool_out_of_date", "The wrench used on {name} was out of calibration. Do it again with one that is not, with new bolt or locker as the maker's manual says.",
		func(s SecondLook) bool { return !s.ToolGood }),
	look("target_differs", "The target you looked up for {name} is not the one recorded. Look again, both of you, in the maker's manual.",
		func(s SecondLook) bool { return !s.Recorded.near(s.LookedUp) }),
	look("wrench_differs", "The wrench was not seen at the target for {name}. Set it and do the joint again, with new bolt or locker as the maker's manual says.",
		func(s SecondLook) bool { return !close2(s.LookedUp, s.Wrench) }),
	look("not_watched", "Nobody watched the pull on {name}. Do it again while being watched, with new bolt or locker as the maker's manual says; do not pull on it again to check.",
		func(s SecondLook) bool { return !s.Watched && !s.self() }),
	look("not_marked", "Paint-mark {name} so that everyone sees it is checked.",
		func(s SecondLook) bool { return !s.Marked }),
}

// SecondLookRules lists every gate CheckFastening can raise, in order.
func SecondLookRules() []Rule {
	var out []Rule
	for _, g := range secondLook {
		out = append(out, Rule{Code: g.code, Where: g.where, Safety: g.safety})
	}
	return out
}

// CheckFastening gives what stands in the way of a check counting. The
// checker is a second person who looks the target up alone, sees the wrench
// setting, watches the pull and paint-marks the joint: the worker never
// inspects their own work (after 14 CFR 121.371(c) and EASA 145.A.48(b)).
// A one-person shop re-inspects, later and flagged (after EASA AMC
// M.A.402(h)): nobody watched, everything else is asked all the same.
func CheckFastening(s SecondLook) []fault.Gate {
	var out []fault.Gate
	for _, g := range secondLook {
		if g.missing(s) {
			out = append(out, g.on(s.Row))
		}
	}
	return out
}
