package api

import (
	"net/http"
	"strings"

	"benchtag/internal/reckon"
)

// reckonRoutes gives every engine its address. An engine reads nothing of the
// shop and stores nothing.
func (s *Server) reckonRoutes() []route {
	var all []route
	for _, e := range reckon.Engines() {
		operation := "reckon" + strings.ToUpper(e.Name[:1]) + e.Name[1:]
		all = append(all, post("/v1/reckon/"+e.Name, operation, anyStaff, func(c *call) error {
			answer, err := reckon.Run(e.Name, c.body)
			if err != nil {
				return err
			}
			return c.json(http.StatusOK, 0, answer)
		}))
	}
	return all
}
