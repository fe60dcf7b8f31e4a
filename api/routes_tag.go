package api

import (
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// tagRoutes are what is done with tags across jobs: codes ahead, finding,
// tidying up.
func (s *Server) tagRoutes() []route {
	return []route{
		get("/v1/tag-blocks", "listTagBlocks", anyStaff, listTagBlocks),
		effect("/v1/tag-blocks", "addTagBlock", anyStaff, addTagBlock),
		get("/v1/tag-blocks/{id}", "getTagBlock", anyStaff, getTagBlock),
		get("/v1/tags", "listTagsLying", anyStaff, listTagsLying),
		get("/v1/tags/{code}", "findTag", anyStaff, findTag),
		get("/v1/jobs/{id}/left-over", "listLeftOver", anyStaff, listLeftOver),
		get("/v1/tag-blocks/{id}/labels.pdf", "printTagBlock", anyStaff, printTagBlock),
		get("/v1/jobs/{id}/labels.pdf", "printJobLabels", anyStaff, printJobLabels),
		get("/v1/jobs/{id}/findings.pdf", "printFindings", anyStaff, printFindings),
		get("/v1/jobs/{id}/bench-sheet.pdf", "printBenchSheet", anyStaff, printBenchSheet),
		get("/v1/work-orders/{id}/machine-label.pdf", "printMachineLabel", anyStaff, printMachineLabel),
	}
}

func listTagBlocks(c *call) error { return listNouns(c, nil, tagBlockView) }

// TagBlockIn is a wish for codes ahead.
type TagBlockIn struct {
	Purpose  string  `json:"purpose"`
	Size     int64   `json:"size"`
	TabletID *string `json:"tablet_id"`
}

func addTagBlock(c *call) error {
	in, err := read[TagBlockIn](c)
	if err != nil {
		return err
	}
	whole, err := c.app().AddTagBlock(c.ctx, c.who, app.NewTagBlock{Purpose: shop.TagPurpose(in.Purpose), Size: in.Size,
		TabletID: shop.TabletID(text(in.TabletID))})
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, whole.Version, tagBlockWholeView(c.currency(), whole))
}

func getTagBlock(c *call) error {
	whole, err := c.app().TagBlock(c.ctx, c.who, shop.TagBlockID(c.Param("id")))
	if err != nil {
		return err
	}
	c.Request().Header.Del("If-None-Match")
	return c.json(http.StatusOK, whole.Version, tagBlockWholeView(c.currency(), whole))
}

func listTagsLying(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	seen, err := c.app().TagsLying(c.ctx, c.who, c.QueryParam("also_kept") == "true", page)
	if err != nil {
		return err
	}
	c.sawTags(seen)
	return c.json(http.StatusOK, 0, listOf(seen, page, app.TagSeen.Key, func(s app.TagSeen) TagSeenView { return tagSeenView(c.currency(), s) }))
}

func findTag(c *call) error {
	found, err := c.app().FindTag(c.ctx, c.who, c.Param("code"))
	if err != nil {
		return err
	}
	seen := found.Also
	if found.Seen != nil {
		seen = append([]app.TagSeen{*found.Seen}, seen...)
	}
	c.sawTags(seen)
	return c.json(http.StatusOK, 0, labelFoundView(c.currency(), found))
}

// sawTags says whose machines the tags of an answer are from.
func (c *call) sawTags(seen []app.TagSeen) {
	c.saw("work_orders", keysOf(seen, func(s app.TagSeen) string { return string(s.Order.ID) })...)
}

func listLeftOver(c *call) error {
	tags, err := c.app().LeftOver(c.ctx, c.who, shop.JobID(c.Param("id")))
	if err != nil {
		return err
	}
	items := make([]TagView, len(tags))
	for i, t := range tags {
		items[i] = tagView(c.currency(), t)
	}
	return c.json(http.StatusOK, 0, LeftOverView{Items: items})
}

// TagBlockView is a run of codes as clients see it.
type TagBlockView struct {
	ID        string  `json:"id"`
	Version   int64   `json:"version"`
	Size      int64   `json:"size"`
	Purpose   string  `json:"purpose"`
	TabletID  *string `json:"tablet_id"`
	GivenBy   string  `json:"given_by"`
	GivenAt   string  `json:"given_at"`
	FirstCode string  `json:"first_code"`
	CreatedAt string  `json:"created_at"`
	UpdatedAt string  `json:"updated_at"`
}

func tagBlockView(_ money.Currency, n shop.TagBlock) TagBlockView {
	// A block past the last code could not be stored, so the first is there.
	first, _ := shop.NewTagCode(uint32(n.FirstNumber))
	return TagBlockView{ID: string(n.ID), Version: n.Version, Size: n.Size, Purpose: string(n.Purpose), TabletID: orNull(n.TabletID),
		GivenBy: string(n.GivenBy), GivenAt: instantView(n.GivenAt), FirstCode: string(first),
		CreatedAt: instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt)}
}

// TagBlockWholeView is a run of codes, one by one.
type TagBlockWholeView struct {
	Block TagBlockView `json:"block"`
	Codes []string     `json:"codes"`
	Used  []string     `json:"used"`
}

func tagBlockWholeView(cur money.Currency, w app.TagBlockWhole) TagBlockWholeView {
	return TagBlockWholeView{Block: tagBlockView(cur, w.TagBlock), Codes: codeTexts(w.Codes), Used: codeTexts(w.Used)}
}

func codeTexts(codes []shop.TagCode) []string {
	out := make([]string, len(codes))
	for i, c := range codes {
		out[i] = string(c)
	}
	return out
}

// TagSeenView is a tag with what is around it, as clients see it.
type TagSeenView struct {
	Tag             TagView `json:"tag"`
	WorkOrderNumber int64   `json:"work_order_number"`
	JobTitle        string  `json:"job_title"`
	Stage           string  `json:"stage"`
	MachineID       string  `json:"machine_id"`
	Machine         string  `json:"machine"`
	Customer        string  `json:"customer"`
	MachineState    string  `json:"machine_state"`
}

func tagSeenView(cur money.Currency, s app.TagSeen) TagSeenView {
	return TagSeenView{Tag: tagView(cur, s.Tag), WorkOrderNumber: s.Order.Number, JobTitle: s.Job.Title, Stage: string(s.Job.Stage),
		MachineID: string(s.Machine.ID), Machine: s.MachineWords(), Customer: s.Customer, MachineState: s.MachineState}
}

// LabelFoundView is what a label leads to, as clients see it.
type LabelFoundView struct {
	Code   string        `json:"code"`
	Unused bool          `json:"unused"`
	Words  string        `json:"words"`
	Found  *TagSeenView  `json:"found"`
	Also   []TagSeenView `json:"also"`
	Block  *TagBlockView `json:"block"`
}

func labelFoundView(cur money.Currency, l app.LabelFound) LabelFoundView {
	out := LabelFoundView{Code: string(l.Code), Unused: l.Seen == nil && len(l.Also) == 0, Words: l.Words, Also: make([]TagSeenView, len(l.Also))}
	if l.Seen != nil {
		found := tagSeenView(cur, *l.Seen)
		out.Found = &found
	}
	for i, s := range l.Also {
		out.Also[i] = tagSeenView(cur, s)
	}
	if l.Block != nil {
		block := tagBlockView(cur, *l.Block)
		out.Block = &block
	}
	return out
}

// LeftOverView is the open tags of a job, as clients see them.
type LeftOverView struct {
	Items []TagView `json:"items"`
}
