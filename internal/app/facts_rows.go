package app

import (
	"slices"
	"time"

	"benchtag/internal/layout"
	"benchtag/internal/shop"
)

// dossier is the rows of some jobs, read in batches and laid out by job.
type dossier struct {
	now         time.Time
	zone        *time.Location
	orders      map[shop.WorkOrderID]shop.WorkOrder
	intake      map[shop.WorkOrderID]shop.IntakeFacts
	siblings    map[shop.WorkOrderID][]shop.JobID // all jobs of the visit
	staff       map[shop.StaffID]shop.Staff
	person      map[shop.StaffID]string // see persons
	technicians int                     // different people who work at the bench
	gauges      map[shop.GaugeID]shop.Gauge

	complaints   map[shop.JobID][]shop.Complaint
	checks       map[shop.JobID][]shop.Check
	asFound      map[shop.JobID][]shop.AsFound
	maps         map[shop.JobID]*layout.Compiled // by which the jobs work; none for those without
	findings     map[shop.JobID][]shop.Finding
	measurements map[shop.JobID][]shop.Measurement
	photos       map[shop.JobID][]shop.Photo
	tags         map[shop.JobID][]shop.Tag
	lines        map[shop.JobID][]shop.Line // of the whole visit
	partOrders   map[shop.JobID][]shop.PartOrder
	benchTimes   map[shop.JobID][]shop.BenchTime // of the whole visit
	holds        map[shop.JobID][]shop.Hold
	holdPoints   map[shop.JobID][]shop.HoldPoint
	fastenings   map[shop.JobID][]shop.Fastening // of the whole visit
	firstStarts  map[shop.JobID][]shop.FirstStart
	roadTests    map[shop.JobID][]shop.RoadTest
	debrisChecks map[shop.JobID][]shop.DebrisCheck
	advice       map[shop.JobID][]shop.Advice
	handOvers    map[shop.JobID][]shop.HandOver
	withdrawals  map[shop.JobID][]shop.Withdrawal
}

// readDossier reads the rows of the jobs. Work is read of the whole visit,
// since it is one machine whatever job the work was for.
func (a *App) readDossier(tx Tx, s shop.Shop, jobs []shop.Job) (*dossier, error) {
	d := &dossier{now: tx.Now(), zone: zoneOf(s)}
	r := &batch{tx: tx}
	own := make([]shop.JobID, len(jobs))
	var orders []shop.WorkOrderID
	for i, j := range jobs {
		own[i] = j.ID
		orders = append(orders, j.WorkOrderID)
	}
	slices.Sort(orders)
	orders = slices.Compact(orders)
	d.readVisits(r, orders)
	d.readPeople(r)
	d.readBench(r, own)
	d.readAfter(r, own)
	var visit []shop.JobID
	for _, ids := range d.siblings {
		visit = append(visit, ids...)
	}
	d.lines = rowsOf[shop.Line](r, visit)
	d.benchTimes = rowsOf[shop.BenchTime](r, visit)
	d.fastenings = rowsOf[shop.Fastening](r, visit)
	if r.err != nil {
		return nil, r.err
	}
	d.maps, r.err = a.mapsOf(tx, jobs)
	return d, r.err
}

func (d *dossier) readVisits(r *batch, orders []shop.WorkOrderID) {
	d.orders = map[shop.WorkOrderID]shop.WorkOrder{}
	for _, w := range allOf[shop.WorkOrder](r, By{"id": orders}) {
		d.orders[w.ID] = w
	}
	d.intake = map[shop.WorkOrderID]shop.IntakeFacts{}
	for _, i := range allOf[shop.IntakeFacts](r, By{"id": orders}) {
		d.intake[i.ID] = i
	}
	d.siblings = map[shop.WorkOrderID][]shop.JobID{}
	for _, j := range allOf[shop.Job](r, By{"work_order_id": orders}) {
		d.siblings[j.WorkOrderID] = append(d.siblings[j.WorkOrderID], j.ID)
	}
}

func (d *dossier) readPeople(r *batch) {
	staff := allOf[shop.Staff](r, By{})
	d.staff = make(map[shop.StaffID]shop.Staff, len(staff))
	for _, s := range staff {
		d.staff[s.ID] = s
	}
	d.person = persons(staff)
	active := map[string]bool{}
	for _, s := range staff {
		if !s.Disabled && slices.Contains(s.Roles, shop.RoleTechnician) {
			active[d.person[s.ID]] = true
		}
	}
	d.technicians = len(active)
}

func (d *dossier) readBench(r *batch, own []shop.JobID) {
	d.complaints = rowsOf[shop.Complaint](r, own)
	d.checks = rowsOf[shop.Check](r, own)
	d.asFound = rowsOf[shop.AsFound](r, own)
	d.findings = rowsOf[shop.Finding](r, own)
	d.measurements = rowsOf[shop.Measurement](r, own)
	d.photos = rowsOf[shop.Photo](r, own)
	d.tags = rowsOf[shop.Tag](r, own)
	d.partOrders = rowsOf[shop.PartOrder](r, own)
	d.holds = rowsOf[shop.Hold](r, own)
	var gauges []shop.GaugeID
	for _, rows := range d.measurements {
		for _, m := range rows {
			if m.GaugeID != "" {
				gauges = append(gauges, m.GaugeID)
			}
		}
	}
	slices.Sort(gauges)
	d.gauges = map[shop.GaugeID]shop.Gauge{}
	for _, g := range allOf[shop.Gauge](r, By{"id": slices.Compact(gauges)}) {
		d.gauges[g.ID] = g
	}
}

func (d *dossier) readAfter(r *batch, own []shop.JobID) {
	d.holdPoints = rowsOf[shop.HoldPoint](r, own)
	d.firstStarts = rowsOf[shop.FirstStart](r, own)
	d.roadTests = rowsOf[shop.RoadTest](r, own)
	d.debrisChecks = rowsOf[shop.DebrisCheck](r, own)
	d.advice = rowsOf[shop.Advice](r, own)
	d.handOvers = rowsOf[shop.HandOver](r, own)
	d.withdrawals = rowsOf[shop.Withdrawal](r, own)
}

// batch reads kinds of rows one after another and keeps the first error.
type batch struct {
	tx  Tx
	err error
}

// allOf reads every row of a kind that By selects.
func allOf[T any, P interface {
	*T
	Noun
}](r *batch, by By) []T {
	if r.err != nil {
		return nil
	}
	rows, err := every[T, P](r.tx, by)
	r.err = err
	return rows
}

// rowsOf reads every row of a kind that belongs to one of the jobs.
func rowsOf[T any, P interface {
	*T
	Noun
	Owner() *shop.OfJob
}](r *batch, jobs []shop.JobID) map[shop.JobID][]T {
	out := map[shop.JobID][]T{}
	for _, row := range allOf[T, P](r, By{"job_id": jobs}) {
		id := P(&row).Owner().JobID
		out[id] = append(out[id], row)
	}
	return out
}

// unstruck gives the rows that still count.
func unstruck[T interface{ IsStruck() bool }](rows []T) []T {
	var out []T
	for _, r := range rows {
		if !r.IsStruck() {
			out = append(out, r)
		}
	}
	return out
}

// persons names the human behind each account: accounts joined by "same
// person as", in whatever direction, carry the same name.
func persons(staff []shop.Staff) map[shop.StaffID]string {
	root := make(map[shop.StaffID]shop.StaffID, len(staff))
	var find func(shop.StaffID) shop.StaffID
	find = func(id shop.StaffID) shop.StaffID {
		up, known := root[id]
		if !known || up == id {
			return id
		}
		return find(up)
	}
	for _, s := range staff {
		if s.SamePersonAsID == "" {
			continue
		}
		a, b := find(s.ID), find(s.SamePersonAsID)
		if a != b {
			root[max(a, b)] = min(a, b)
		}
	}
	out := make(map[shop.StaffID]string, len(staff))
	for _, s := range staff {
		out[s.ID] = string(find(s.ID))
	}
	return out
}
