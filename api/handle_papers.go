package api

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// pdf answers with a paper. It is never kept by a cache, since what stands on
// it is true for a moment; the name holds nothing but letters, digits, dots and
// hyphens, so that it needs no encoding (RFC 6266 section 4.3).
func (c *call) pdf(name string, file []byte, err error) error {
	if err != nil {
		return err
	}
	c.noteSeen()
	h := c.Response().Header()
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Disposition", `inline; filename="`+name+`.pdf"`)
	return c.Blob(http.StatusOK, "application/pdf", file)
}

// paper reads on what to print.
func (c *call) paper(usual string) string {
	if text := c.QueryParam("paper"); text != "" {
		return text
	}
	return usual
}

// labelSheet reads on which sheet and how labels are printed.
func (c *call) labelSheet() (app.LabelSheet, error) {
	sheet := app.LabelSheet{Paper: c.paper("a4-70x37mm"), Start: 1}
	if text := c.QueryParam("start"); text != "" {
		n, err := strconv.ParseInt(text, 10, 32)
		if err != nil || n < 1 {
			return sheet, fault.New(fault.Shape, "api.start_wrong", "start is a whole number from 1.")
		}
		sheet.Start = n
	}
	for name, into := range map[string]**int64{"margin_left": &sheet.MarginLeft, "margin_top": &sheet.MarginTop, "gap_x": &sheet.GapX, "gap_y": &sheet.GapY} {
		text := c.QueryParam(name)
		if text == "" {
			continue
		}
		micrometres, ok := readMillimetres(text)
		if !ok {
			return sheet, fault.New(fault.Shape, "api.length_wrong", fmt.Sprintf("%s is in millimetres with at most three decimals, as in 8.5.", name))
		}
		*into = &micrometres
	}
	return sheet, nil
}

// readMillimetres reads a length as decimal text into whole micrometres.
func readMillimetres(text string) (int64, bool) {
	whole, decimals, _ := strings.Cut(strings.ReplaceAll(text, ",", "."), ".")
	if len(decimals) > 3 || len(whole) > 3 || whole == "" {
		return 0, false
	}
	digits := whole + decimals + strings.Repeat("0", 3-len(decimals))
	if strings.Trim(digits, "0123456789") != "" {
		return 0, false
	}
	n, err := strconv.ParseInt(digits, 10, 64)
	return n, err == nil
}

func printTagBlock(c *call) error {
	sheet, err := c.labelSheet()
	if err != nil {
		return err
	}
	file, err := c.app().PrintTagBlock(c.ctx, c.who, shop.TagBlockID(c.Param("id")), sheet)
	return c.pdf("labels", file, err)
}

func printJobLabels(c *call) error {
	sheet, err := c.labelSheet()
	if err != nil {
		return err
	}
	file, err := c.app().PrintJobLabels(c.ctx, c.who, shop.JobID(c.Param("id")), sheet)
	c.saw("work_orders", c.Param("id"))
	return c.pdf("job-labels", file, err)
}

func printBenchSheet(c *call) error {
	file, err := c.app().PrintBenchSheet(c.ctx, c.who, shop.JobID(c.Param("id")), c.paper("a4"))
	c.saw("work_orders", c.Param("id"))
	return c.pdf("bench-sheet", file, err)
}

func printFindings(c *call) error {
	file, err := c.app().PrintFindings(c.ctx, c.who, shop.JobID(c.Param("id")), c.paper("a4"))
	c.saw("work_orders", c.Param("id"))
	return c.pdf("findings", file, err)
}

func printConsentRecord(c *call) error {
	file, err := c.app().PrintConsentRecord(c.ctx, c.who, shop.ConsentID(c.Param("id")), c.paper("a4"))
	c.saw("consents", c.Param("id"))
	return c.pdf("consent-record", file, err)
}

func printMachineLabel(c *call) error {
	file, err := c.app().PrintMachineLabel(c.ctx, c.who, shop.WorkOrderID(c.Param("id")), c.paper("roll-100x62mm"))
	c.saw("work_orders", c.Param("id"))
	return c.pdf("machine-label", file, err)
}
