package app

import (
	"slices"
	"strings"

	"benchtag/internal/auth"
	"benchtag/internal/shop"
)

// seenTags reads what stands around some tags, in as many lists as there are
// nouns, whatever the number of tags.
func seenTags(tx Tx, who auth.Principal, tags []shop.Tag) ([]TagSeen, error) {
	if len(tags) == 0 {
		return nil, nil
	}
	around, err := aroundTags(tx, tags)
	if err != nil {
		return nil, err
	}
	seen := make([]TagSeen, len(tags))
	for i, t := range tags {
		order := around.orders[string(t.WorkOrderID)]
		seen[i] = TagSeen{Tag: t, Order: order, Job: around.jobs[string(t.JobID)], Machine: around.machines[string(order.MachineID)],
			MachineState: around.states[order.ID]}
		seen[i].Customer = customerFor(who, around.customers[string(order.CustomerID)]).Name
	}
	return seen, nil
}

// surroundings are the rows around some tags, by id.
type surroundings struct {
	orders    map[string]shop.WorkOrder
	jobs      map[string]shop.Job
	machines  map[string]shop.Machine
	customers map[string]shop.Customer
	states    map[shop.WorkOrderID]string
}

func aroundTags(tx Tx, tags []shop.Tag) (s surroundings, err error) {
	if s.orders, err = rowsByID[shop.WorkOrder](tx, distinctOf(tags, func(t shop.Tag) string { return string(t.WorkOrderID) })); err != nil {
		return s, err
	}
	if s.jobs, err = rowsByID[shop.Job](tx, distinctOf(tags, func(t shop.Tag) string { return string(t.JobID) })); err != nil {
		return s, err
	}
	var orders []shop.WorkOrder
	for _, o := range s.orders {
		orders = append(orders, o)
	}
	if s.machines, err = rowsByID[shop.Machine](tx, distinctOf(orders, func(o shop.WorkOrder) string { return string(o.MachineID) })); err != nil {
		return s, err
	}
	if s.customers, err = rowsByID[shop.Customer](tx, distinctOf(orders, func(o shop.WorkOrder) string { return string(o.CustomerID) })); err != nil {
		return s, err
	}
	s.states, err = openStates(tx, distinctOf(orders, func(o shop.WorkOrder) string { return string(o.ID) }))
	return s, err
}

// rowsByID reads rows by their ids.
func rowsByID[T any, P interface {
	*T
	Noun
}](tx Tx, ids []string) (map[string]T, error) {
	rows, err := every[T, P](tx, By{"id": ids})
	if err != nil {
		return nil, err
	}
	out := make(map[string]T, len(rows))
	for i := range rows {
		out[P(&rows[i]).Key()] = rows[i]
	}
	return out, nil
}

func distinctOf[T any](rows []T, key func(T) string) []string {
	met, out := map[string]bool{}, []string{}
	for _, r := range rows {
		if k := key(r); !met[k] {
			met[k] = true
			out = append(out, k)
		}
	}
	return out
}

// openStates says how the open machines of some visits stand, one sentence a
// visit; a visit whose machine is not open has none. What a job that was
// taken back said of the machine counts to the end.
func openStates(tx Tx, orders []string) (map[shop.WorkOrderID]string, error) {
	jobs, err := every[shop.Job](tx, By{"work_order_id": orders})
	if err != nil {
		return nil, err
	}
	var opened, taken []shop.JobID
	for _, j := range jobs {
		switch {
		case j.Stage == shop.StageWithdrawn:
			taken = append(taken, j.ID)
		case j.Stage != shop.StageClosed && (j.OpenedUp || j.NotRun):
			opened = append(opened, j.ID)
		}
	}
	latest, err := latestNotes(tx, opened)
	if err != nil {
		return nil, err
	}
	left, err := takenBackStates(tx, taken)
	if err != nil {
		return nil, err
	}
	states := map[shop.WorkOrderID][]string{}
	for _, j := range jobs {
		state := left[j.ID]
		if !ended(&j) {
			state = openState(j, latest[j.ID])
		}
		if state != "" && !slices.Contains(states[j.WorkOrderID], state) {
			states[j.WorkOrderID] = append(states[j.WorkOrderID], state)
		}
	}
	out := make(map[shop.WorkOrderID]string, len(states))
	for id, list := range states {
		out[id] = strings.Join(list, "; ")
	}
	return out, nil
}

// takenBackStates says how machines stand whose jobs were taken back.
func takenBackStates(tx Tx, jobs []shop.JobID) (map[shop.JobID]string, error) {
	out := map[shop.JobID]string{}
	if len(jobs) == 0 {
		return out, nil
	}
	left, err := every[shop.Withdrawal](tx, By{"job_id": jobs})
	if err != nil {
		return nil, err
	}
	for _, w := range left {
		switch w.MachineState {
		case shop.MachineStateInBoxes:
			out[w.JobID] = "taken back in boxes"
		case shop.MachineStateMovableOnly:
			out[w.JobID] = "can be moved, not ridden, do not start"
		}
	}
	return out, nil
}
