package store

import (
	"slices"
	"strconv"
	"strings"
	"unicode"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// Floor lists open jobs with what the floor list shows of them.
func (t *tx) Floor(page app.Page) ([]app.FloorRow, error) {
	after := orFirst(page.After)
	if !IsID(after) {
		return nil, fault.New(fault.Shape, "store.cursor_unreadable", "The cursor is not one of ours; start from the first page.")
	}
	found, err := ids(t.db, stmtFloor, string(t.shop), after, page.Limit)
	if err != nil {
		return nil, err
	}
	jobs, orders, machines, err := t.visits(found)
	if err != nil {
		return nil, err
	}
	var bays []shop.Bay
	if err := t.List(&bays, nil, app.Page{}); err != nil {
		return nil, err
	}
	bayOf := byID(bays, func(b shop.Bay) shop.BayID { return b.ID })
	rows := make([]app.FloorRow, 0, len(jobs))
	for _, j := range jobs {
		w := orders[j.WorkOrderID]
		rows = append(rows, app.FloorRow{Job: j, WorkOrder: w, Machine: machines[w.MachineID], BayName: bayOf[w.BayID].Name})
	}
	return rows, nil
}

// FloorMark is a text that differs whenever the floor list may.
func (t *tx) FloorMark() (string, error) {
	var jobs, moved, shop int64
	if err := one(t.db, stmtFloorMark, []any{string(t.shop), string(t.shop), string(t.shop)}, &jobs, &moved, &shop); err != nil {
		return "", err
	}
	return strconv.FormatInt(jobs, 10) + "-" + strconv.FormatInt(moved, 10) + "-" + strconv.FormatInt(shop, 10), nil
}

// visits reads jobs with their work orders and machines.
func (t *tx) visits(jobIDs []string) ([]shop.Job, map[shop.WorkOrderID]shop.WorkOrder, map[shop.MachineID]shop.Machine, error) {
	jobs, err := all[shop.Job](t, "id", jobIDs)
	if err != nil {
		return nil, nil, nil, err
	}
	orders, err := all[shop.WorkOrder](t, "id", distinct(jobs, func(j shop.Job) string { return string(j.WorkOrderID) }))
	if err != nil {
		return nil, nil, nil, err
	}
	machines, err := all[shop.Machine](t, "id", distinct(orders, func(w shop.WorkOrder) string { return string(w.MachineID) }))
	if err != nil {
		return nil, nil, nil, err
	}
	return jobs, byID(orders, func(w shop.WorkOrder) shop.WorkOrderID { return w.ID }),
		byID(machines, func(m shop.Machine) shop.MachineID { return m.ID }), nil
}

func distinct[T any](rows []T, key func(T) string) []string {
	seen := make(map[string]bool, len(rows))
	var list []string
	for _, r := range rows {
		if k := key(r); !seen[k] {
			seen[k] = true
			list = append(list, k)
		}
	}
	return list
}

func orFirst(id string) string {
	if id == "" {
		return firstID
	}
	return id
}

// likeText makes text safe inside a LIKE pattern with the escape "!".
func likeText(text string) string {
	return strings.NewReplacer("!", "!!", "%", "!%", "_", "!_").Replace(text)
}

// spellings gives a text as lower() leaves it where only ASCII is put in
// lower case: written small, in capitals, and with capitals to start words.
func spellings(text string) (small, capitals, title string) {
	small = strings.ToLower(text)
	runes, start := []rune(small), true
	for i, r := range runes {
		if start {
			runes[i] = unicode.ToTitle(r)
		}
		start = !unicode.IsLetter(r) && !unicode.IsDigit(r)
	}
	return small, lowerASCII(strings.ToUpper(text)), lowerASCII(string(runes))
}

func lowerASCII(text string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'A' && r <= 'Z' {
			return r + 'a' - 'A'
		}
		return r
	}, text)
}

// stageRank is a stage's place in flow.Stages, as stmtSearch ranks them; -1
// for no stage.
func stageRank(s shop.Stage) int64 {
	return int64(slices.Index(flow.Stages(), flow.Stage(s)))
}

// Search finds work orders, newest first.
func (t *tx) Search(q app.SearchQuery) ([]app.FoundRow, error) {
	text := strings.TrimSpace(q.Text)
	if text == "" {
		return nil, nil
	}
	number, err := strconv.ParseInt(strings.TrimPrefix(text, "#"), 10, 64)
	if err != nil {
		number = -1
	}
	rank := stageRank(q.Stage)
	if q.Stage != "" && rank < 0 {
		return nil, nil
	}
	small, capitals, title := spellings(likeText(text))
	part := func(s string) string { return "%" + s + "%" }
	plate := strings.NewReplacer(" ", "", "-", "")
	found, err := ids(t.db, stmtSearch, string(t.shop), rank, rank, number,
		part(small), part(capitals), part(title), q.Phone, part(likeText(q.Phone)),
		"%"+small, "%"+small, plate.Replace(text), "%"+plate.Replace(small), "%"+plate.Replace(capitals),
		part(small), part(capitals), part(title), q.Limit)
	if err != nil {
		return nil, err
	}
	return t.foundRows(found)
}

// stages gives the stage of each work order: that of its least finished job.
func (t *tx) stages(orderIDs []string) (map[shop.WorkOrderID]shop.Stage, error) {
	jobs, err := all[shop.Job](t, "work_order_id", orderIDs)
	if err != nil {
		return nil, err
	}
	of := map[shop.WorkOrderID][]flow.Stage{}
	for _, j := range jobs {
		of[j.WorkOrderID] = append(of[j.WorkOrderID], flow.Stage(j.Stage))
	}
	least := make(map[shop.WorkOrderID]shop.Stage, len(of))
	for id, list := range of {
		least[id] = shop.Stage(flow.Least(list))
	}
	return least, nil
}

func (t *tx) foundRows(orderIDs []string) ([]app.FoundRow, error) {
	orders, err := all[shop.WorkOrder](t, "id", orderIDs)
	if err != nil {
		return nil, err
	}
	machines, err := all[shop.Machine](t, "id", distinct(orders, func(w shop.WorkOrder) string { return string(w.MachineID) }))
	if err != nil {
		return nil, err
	}
	customers, err := all[shop.Customer](t, "id", distinct(orders, func(w shop.WorkOrder) string { return string(w.CustomerID) }))
	if err != nil {
		return nil, err
	}
	stageOf, err := t.stages(orderIDs)
	if err != nil {
		return nil, err
	}
	machineOf := byID(machines, func(m shop.Machine) shop.MachineID { return m.ID })
	customerOf := byID(customers, func(c shop.Customer) shop.CustomerID { return c.ID })
	rows := make([]app.FoundRow, 0, len(orders))
	for i := len(orders) - 1; i >= 0; i-- {
		w := orders[i]
		rows = append(rows, app.FoundRow{WorkOrder: w, Machine: machineOf[w.MachineID], Customer: customerOf[w.CustomerID].Name, Stage: stageOf[w.ID]})
	}
	return rows, nil
}

// History reads a chunk of jobs with all that is exported of them.
func (t *tx) History(machine shop.MachineID, after app.HistoryCursor, limit int) ([]app.HistoryRow, error) {
	found, err := t.historyIDs(machine, orFirst(string(after.JobID)), limit)
	if err != nil || len(found) == 0 {
		return nil, err
	}
	jobs, orders, machines, err := t.visits(found)
	if err != nil {
		return nil, err
	}
	rows := make([]app.HistoryRow, len(jobs))
	place := make(map[shop.JobID]int, len(jobs))
	for i, j := range jobs {
		w := orders[j.WorkOrderID]
		rows[i] = app.HistoryRow{Job: j, WorkOrder: w, Machine: machines[w.MachineID]}
		place[j.ID] = i
	}
	return rows, t.historyDetails(rows, place, found)
}

func (t *tx) historyIDs(machine shop.MachineID, after string, limit int) ([]string, error) {
	if !IsID(after) {
		return nil, fault.New(fault.Shape, "store.cursor_unreadable", "The cursor is not one of ours; start from the first page.")
	}
	if machine == "" {
		return ids(t.db, stmtHistory, string(t.shop), after, limit)
	}
	if !IsID(string(machine)) {
		return nil, fault.Missing("machine")
	}
	return ids(t.db, stmtMachineHistory, string(t.shop), string(machine), after, limit)
}

func (t *tx) historyDetails(rows []app.HistoryRow, place map[shop.JobID]int, jobIDs []string) error {
	customers, err := all[shop.Customer](t, "id", distinct(rows, func(r app.HistoryRow) string { return string(r.WorkOrder.CustomerID) }))
	if err != nil {
		return err
	}
	intakes, err := all[shop.IntakeFacts](t, "id", distinct(rows, func(r app.HistoryRow) string { return string(r.WorkOrder.ID) }))
	if err != nil {
		return err
	}
	intakeOf := byID(intakes, func(i shop.IntakeFacts) shop.WorkOrderID { return i.ID })
	nameOf := byID(customers, func(c shop.Customer) shop.CustomerID { return c.ID })
	for i := range rows {
		rows[i].Customer = nameOf[rows[i].WorkOrder.CustomerID].Name
		rows[i].Intake = intakeOf[rows[i].WorkOrder.ID]
	}
	complaints, err := all[shop.Complaint](t, "job_id", jobIDs)
	if err != nil {
		return err
	}
	for _, c := range complaints {
		rows[place[c.JobID]].Complaints = append(rows[place[c.JobID]].Complaints, c)
	}
	findings, err := all[shop.Finding](t, "job_id", jobIDs)
	if err != nil {
		return err
	}
	for _, f := range findings {
		rows[place[f.JobID]].Findings = append(rows[place[f.JobID]].Findings, f)
	}
	lines, err := all[shop.Line](t, "job_id", jobIDs)
	if err != nil {
		return err
	}
	for _, l := range lines {
		rows[place[l.JobID]].Lines = append(rows[place[l.JobID]].Lines, l)
	}
	return nil
}
