package app

import (
	"context"
	"fmt"
	"strings"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// noPapers is the answer of a server that prints nothing.
func (a *App) noPapers() error {
	if a.Papers != nil {
		return nil
	}
	return fault.New(fault.Unavailable, "app.papers_off", "This server prints no papers.")
}

// labelFor begins a label: its code, and what a scanner reads from it.
func (a *App) labelFor(settings shop.Shop, code shop.TagCode) TagLabel {
	mark := shop.TagMarkOf(settings.ID)
	return TagLabel{Code: code, Scan: shop.LabelText(a.PublicURL, mark, code), ScanShort: shop.LabelText("", mark, code), Shop: settings.Name}
}

// PrintTagBlock prints the labels of a block that are on no tag yet.
func (a *App) PrintTagBlock(ctx context.Context, who auth.Principal, id shop.TagBlockID, sheet LabelSheet) (file []byte, err error) {
	if err := a.noPapers(); err != nil {
		return nil, err
	}
	var labels []TagLabel
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		block, err := load[shop.TagBlock](tx, string(id))
		if err != nil {
			return err
		}
		settings, err := load[shop.Shop](tx, string(who.ShopID))
		if err != nil {
			return err
		}
		whole, err := wholeBlock(tx, block)
		if err != nil {
			return err
		}
		used := map[shop.TagCode]bool{}
		for _, c := range whole.Used {
			used[c] = true
		}
		labels = nil
		for _, c := range whole.Codes {
			if !used[c] {
				l := a.labelFor(settings, c)
				l.Unused = true
				labels = append(labels, l)
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return a.Papers.TagLabels(sheet, labels)
}

// PrintJobLabels prints the labels of a job's tags that are not struck, by
// their number.
func (a *App) PrintJobLabels(ctx context.Context, who auth.Principal, id shop.JobID, sheet LabelSheet) (file []byte, err error) {
	if err := a.noPapers(); err != nil {
		return nil, err
	}
	var labels []TagLabel
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		if _, err := load[shop.Job](tx, string(id)); err != nil {
			return err
		}
		settings, err := load[shop.Shop](tx, string(who.ShopID))
		if err != nil {
			return err
		}
		tags, err := every[shop.Tag](tx, By{"job_id": id})
		if err != nil {
			return err
		}
		seen, err := seenTags(tx, who, unstruck(tags))
		if err != nil {
			return err
		}
		labels = nil
		for _, s := range seen {
			l := a.labelFor(settings, shop.TagCode(s.Tag.Code))
			l.Order, l.Number, l.Machine = s.Order.Number, s.Tag.Number, s.MachineWords()
			l.Holds, l.FromWhere, l.Lying, l.State = s.Tag.Holds, s.Tag.FromWhere, s.Tag.LiesAt, s.MachineState
			labels = append(labels, l)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return a.Papers.TagLabels(sheet, labels)
}

// PrintMachineLabel prints what hangs on a machine: whose it is and how it
// stands at this moment, which the label names.
func (a *App) PrintMachineLabel(ctx context.Context, who auth.Principal, id shop.WorkOrderID, paper string) (file []byte, err error) {
	if err := a.noPapers(); err != nil {
		return nil, err
	}
	var label MachineLabel
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		v, err := a.visitOnPaper(tx, id)
		if err != nil {
			return err
		}
		label = MachineLabel{Shop: v.shop.Name, Order: v.order.Number, Machine: machineLong(v.machine), State: v.state, AsOf: v.asOf}
		facts, err := load[shop.IntakeFacts](tx, string(id))
		if err != nil && !fault.Is(err, fault.NotFound) {
			return err
		}
		label.Keys = facts.Keys
		if v.order.BayID == "" {
			return nil
		}
		bay, err := load[shop.Bay](tx, string(v.order.BayID))
		label.Bay = bay.Name
		return err
	})
	if err != nil {
		return nil, err
	}
	return a.Papers.MachineLabel(paper, label)
}

// visitPaper is what every paper of a visit needs.
type visitPaper struct {
	shop        shop.Shop
	order       shop.WorkOrder
	machine     shop.Machine
	state, asOf string
}

func (a *App) visitOnPaper(tx Tx, id shop.WorkOrderID) (v visitPaper, err error) {
	if v.order, err = load[shop.WorkOrder](tx, string(id)); err != nil {
		return v, err
	}
	if v.shop, err = load[shop.Shop](tx, string(tx.Shop())); err != nil {
		return v, err
	}
	if v.machine, err = load[shop.Machine](tx, string(v.order.MachineID)); err != nil {
		return v, err
	}
	states, err := openStates(tx, []string{string(id)})
	if err != nil {
		return v, err
	}
	v.state = states[id]
	zone, err := time.LoadLocation(v.shop.TimeZone)
	if err != nil {
		return v, fmt.Errorf("app: time zone: %w", err)
	}
	v.asOf = onPaper(tx.Now(), zone)
	return v, nil
}

// PrintBenchSheet prints what the bench needs of a job.
func (a *App) PrintBenchSheet(ctx context.Context, who auth.Principal, id shop.JobID, paper string) (file []byte, err error) {
	if err := a.noPapers(); err != nil {
		return nil, err
	}
	var sheet BenchSheet
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		job, err := load[shop.Job](tx, string(id))
		if err != nil {
			return err
		}
		v, err := a.visitOnPaper(tx, job.WorkOrderID)
		if err != nil {
			return err
		}
		sheet = BenchSheet{Shop: v.shop.Name, AsOf: v.asOf, Order: v.order.Number, Title: job.Title, Stage: strings.ReplaceAll(string(job.Stage), "_", " "),
			Machine: machineLong(v.machine), State: v.state, NotToRun: job.NotRun,
			Notes: []string{"All of this is as of the time above; look at the screen before you rely on it. The maker's service manual, local law and qualified people come first."}}
		if err := sheet.fill(tx, job); err != nil {
			return err
		}
		return a.benchSteps(tx, job, &sheet)
	})
	if err != nil {
		return nil, err
	}
	return a.Papers.BenchSheet(paper, sheet)
}
