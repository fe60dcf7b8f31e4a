package app

import (
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// oldPartsOf reads what came off for good, and what became of it. What goes
// otherwise than the customer wanted needs a word on why.
func (d *dossier) oldPartsOf(j shop.Job) flow.OldParts {
	f := flow.OldParts{ClaimPossible: j.ClaimPossible}
	for _, l := range unstruck(d.lines[j.ID]) {
		f.Replaced = f.Replaced || l.Kind == shop.LineKindPart && l.State == shop.LineStateDone
	}
	for _, t := range unstruck(d.tags[j.ID]) {
		f.Replaced = f.Replaced || t.Outcome == shop.TagOutcomeReplaced
	}
	for _, h := range d.handOvers[j.ID] {
		f.KeptUntil = h.EvidenceUntil != ""
		agreed := oldPartsAsAgreed(d.intake[j.WorkOrderID].OldParts, h.OldParts)
		f.Settled = agreed || h.OldParts != "" && h.OldPartsNote != ""
	}
	return f
}

// handOverOf reads what is said and given along with the machine.
func (d *dossier) handOverOf(j shop.Job) flow.HandOver {
	var f flow.HandOver
	recheckSet := false
	for _, h := range d.handOvers[j.ID] {
		f.To, f.Transport = h.HandedTo, transportOf(h.Transport)
		f.Advice, f.StillOpenWritten = h.AdviceGiven, h.StillOpen != ""
		f.SelfCheckTold, f.NotRunTold = h.SelfReinspectionTold, h.DoNotStartTold
		recheckSet = h.RecheckOn != ""
	}
	dated := true
	for _, a := range unstruck(d.advice[j.ID]) {
		f.Advice = true
		f.StillOpenWritten = f.StillOpenWritten || a.Kind == shop.AdviceKindStillOpen
		if a.Kind == shop.AdviceKindRecheck {
			f.RecheckNeeded = true
			dated = dated && (a.DueOn != "" || a.DueDistance != "")
		}
	}
	for _, w := range unstruck(d.findings[j.ID]) {
		if w.Advised == shop.AdvisedWatch {
			f.RecheckNeeded = true
			dated = dated && w.WatchAt != ""
		}
	}
	f.RecheckDated = recheckSet || f.RecheckNeeded && dated
	return f
}

func (d *dossier) withdrawalOf(j shop.Job) flow.Withdrawal {
	for _, w := range d.withdrawals[j.ID] {
		return flow.Withdrawal{Reason: w.Reason, State: machineStateOf(w.MachineState)}
	}
	return flow.Withdrawal{}
}
