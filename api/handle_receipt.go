package api

import (
	"net/http"

	"benchtag/internal/shop"
)

// getReceipt hands out a receipt as a file. Its name is made of the answer's id.
func getReceipt(c *call) error {
	file, err := c.app().Receipt(c.ctx, c.who, shop.ConsentID(c.Param("id")))
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h.Set("Content-Disposition", `attachment; filename="`+file.Name+`"`)
	h.Set("Cache-Control", "no-store")
	return c.Blob(http.StatusOK, "text/plain; charset=utf-8", file.Text)
}
