package app

import (
	"fmt"

	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// maxJobs bounds for how many jobs facts are drawn at once.
const maxJobs = 100

// facts draws everything the gates look at, for jobs of one shop at once:
// some two dozen queries, however many jobs. It decides nothing of its own;
// it says in the words of flow what the rows say.
func (a *App) facts(tx Tx, s shop.Shop, jobs []shop.Job) (map[shop.JobID]flow.Facts, error) {
	if len(jobs) > maxJobs {
		return nil, fmt.Errorf("app: facts of %d jobs asked for at once; %d is the most", len(jobs), maxJobs)
	}
	out := make(map[shop.JobID]flow.Facts, len(jobs))
	if len(jobs) == 0 {
		return out, nil
	}
	d, err := a.readDossier(tx, s, jobs)
	if err != nil {
		return nil, err
	}
	drawn := make(map[shop.JobID]*flow.Facts, len(jobs))
	for _, j := range jobs {
		f := d.facts(s, j)
		drawn[j.ID] = &f
	}
	if err := a.moneyFacts(tx, s, jobs, drawn); err != nil {
		return nil, err
	}
	for id, f := range drawn {
		out[id] = *f
	}
	return out, nil
}

// factsOf draws the facts of one job, by the shop's settings as they are now.
func (a *App) factsOf(tx Tx, job shop.Job) (flow.Facts, error) {
	s, err := load[shop.Shop](tx, string(tx.Shop()))
	if err != nil {
		return flow.Facts{}, err
	}
	drawn, err := a.facts(tx, s, []shop.Job{job})
	return drawn[job.ID], err
}

// facts puts together what one job's rows say.
func (d *dossier) facts(s shop.Shop, j shop.Job) flow.Facts {
	f := flow.Facts{
		Intake:        d.intakeOf(j),
		Complaints:    d.complaintsOf(j),
		Diagnosis:     flow.DiagnosisFacts{Free: j.DiagnosisFree},
		Teardown:      d.teardownOf(j),
		Findings:      d.findingsOf(j),
		Reached:       d.reachedOf(j),
		FirstCause:    d.firstCauseOf(j),
		Tags:          d.tagsOf(j),
		Lines:         d.linesOf(j),
		Hold:          d.holdOf(j),
		Fastenings:    d.fasteningsOf(j),
		OnePersonShop: s.OnePerson && d.technicians <= 1,
		FirstStart:    d.firstStartOf(j),
		PreRide:       d.preRideOf(j),
		RoadTest:      d.roadTestOf(j),
		Debris:        d.debrisOf(j),
		NotRun:        notRunOf(j),
		OldParts:      d.oldPartsOf(j),
		HandOver:      d.handOverOf(j),
		Withdrawal:    d.withdrawalOf(j),
		BenchTimes:    d.running(j),
	}
	f.HoldPoints = d.holdPointsOf(j, f)
	return f
}
