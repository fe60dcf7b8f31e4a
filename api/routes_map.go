package api

import (
	"encoding/json"
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// mapRoutes are machine maps and limit sheets, and which of them a job works
// by.
func (s *Server) mapRoutes() []route {
	return []route{
		get("/v1/machine-maps", "listMachineMaps", anyStaff, func(c *call) error {
			return listNouns[shop.Layout, KeptMapView](c, nil, machineMapView)
		}),
		effect("/v1/machine-maps", "addMachineMap", ownerOnly, addMachineMap),
		get("/v1/machine-maps/{id}", "getMachineMap", anyStaff, getMachineMap),
		get("/v1/limit-sheets", "listLimitSheets", anyStaff, func(c *call) error {
			return listNouns[shop.LimitSheet, KeptSheetView](c, nil, limitSheetView)
		}),
		effect("/v1/limit-sheets", "addLimitSheet", ownerOnly, addLimitSheet),
		get("/v1/limit-sheets/{id}", "getLimitSheet", anyStaff, getLimitSheet),
		effect("/v1/jobs/{id}/use-map", "useMap", anyStaff, useMap),
	}
}

// KeptMapIn is a machine map to keep.
type KeptMapIn struct {
	Shipped  string          `json:"shipped"`
	Document json.RawMessage `json:"document"`
}

// KeptSheetIn is a limit sheet to keep.
type KeptSheetIn struct {
	Shipped  string          `json:"shipped"`
	Document json.RawMessage `json:"document"`
}

func (in KeptMapIn) wanted() (app.MapWanted, error) {
	there := len(in.Document) > len("{}")
	if there == (in.Shipped != "") {
		return app.MapWanted{}, fault.Invalid("api.document_or_shipped", "/document", "Send a document, or the code of one that comes with the program, and not both.")
	}
	return app.MapWanted{Shipped: in.Shipped, Document: in.Document}, nil
}

// KeptMapView is a machine map as clients see it, without its document.
type KeptMapView struct {
	ID        string `json:"id"`
	Version   int64  `json:"version"`
	Code      string `json:"code"`
	Revision  int64  `json:"revision"`
	Title     string `json:"title"`
	Example   bool   `json:"example"`
	SHA256    string `json:"sha256"`
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func machineMapView(_ money.Currency, n shop.Layout) KeptMapView {
	return KeptMapView{ID: string(n.ID), Version: n.Version, Code: n.Code, Revision: n.Revision, Title: n.Title,
		Example: n.Example, SHA256: n.SHA256, CreatedAt: instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt)}
}

// KeptSheetView is a limit sheet as clients see it, without its document.
type KeptSheetView struct {
	ID        string `json:"id"`
	Version   int64  `json:"version"`
	Code      string `json:"code"`
	Revision  int64  `json:"revision"`
	Title     string `json:"title"`
	Example   bool   `json:"example"`
	MapCode   string `json:"map_code"`
	Make      string `json:"make"`
	Model     string `json:"model"`
	YearFrom  *int64 `json:"year_from"`
	YearTo    *int64 `json:"year_to"`
	SHA256    string `json:"sha256"`
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func limitSheetView(_ money.Currency, n shop.LimitSheet) KeptSheetView {
	return KeptSheetView{ID: string(n.ID), Version: n.Version, Code: n.Code, Revision: n.Revision, Title: n.Title,
		Example: n.Example, MapCode: n.MapCode, Make: n.Make, Model: n.Model, YearFrom: n.YearFrom, YearTo: n.YearTo,
		SHA256: n.SHA256, CreatedAt: instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt)}
}

// KeptMapWhole is a machine map with its document.
type KeptMapWhole struct {
	MachineMap KeptMapView     `json:"machine_map"`
	Document   json.RawMessage `json:"document"`
}

// KeptSheetWhole is a limit sheet with its document.
type KeptSheetWhole struct {
	LimitSheet KeptSheetView   `json:"limit_sheet"`
	Document   json.RawMessage `json:"document"`
}

func addMachineMap(c *call) error {
	in, err := read[KeptMapIn](c)
	if err != nil {
		return err
	}
	want, err := in.wanted()
	if err != nil {
		return err
	}
	row, err := c.app().AddMachineMap(c.ctx, c.who, want)
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, row.Version, machineMapView(c.currency(), row))
}

func addLimitSheet(c *call) error {
	in, err := read[KeptSheetIn](c)
	if err != nil {
		return err
	}
	want, err := KeptMapIn(in).wanted()
	if err != nil {
		return err
	}
	row, err := c.app().AddLimitSheet(c.ctx, c.who, want)
	if err != nil {
		return err
	}
	return c.json(http.StatusCreated, row.Version, limitSheetView(c.currency(), row))
}

func getMachineMap(c *call) error {
	row, err := app.ShopRecordOf[shop.Layout](c.ctx, c.app(), c.who, c.Param("id"))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, row.Version, KeptMapWhole{machineMapView(c.currency(), row), row.Document})
}

func getLimitSheet(c *call) error {
	row, err := app.ShopRecordOf[shop.LimitSheet](c.ctx, c.app(), c.who, c.Param("id"))
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, row.Version, KeptSheetWhole{limitSheetView(c.currency(), row), row.Document})
}

// UseMapIn says by which map and sheet a job works.
type UseMapIn struct {
	LayoutID     *string `json:"layout_id"`
	LimitSheetID *string `json:"limit_sheet_id"`
}

func useMap(c *call) error {
	in, err := read[UseMapIn](c)
	if err != nil {
		return err
	}
	job, err := c.app().UseMap(c.ctx, c.who, shop.JobID(c.Param("id")),
		app.MapChoice{LayoutID: shop.LayoutID(text(in.LayoutID)), LimitSheetID: shop.LimitSheetID(text(in.LimitSheetID))})
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, job.Version, jobView(c.currency(), job))
}
