package api

func (s *Server) staffRoutes() []route {
	return []route{
		get("/v1/staff", "listStaff", anyStaff, listStaff),
		effect("/v1/staff", "addStaff", ownerOnly, addStaff).prepared(prepareStaff),
		get("/v1/staff/{id}", "getStaff", anyStaff, getStaff),
		put("/v1/staff/{id}", "putStaff", ownerOnly, putStaff),
		get("/v1/staff/{id}/reads", "listReads", ownerOnly, listReads),
		effect("/v1/staff/{id}/password", "resetPassword", ownerOnly, resetPassword).prepared(prepareReset),
	}
}
