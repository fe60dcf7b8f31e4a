package api

func (s *Server) floorRoutes() []route {
	return []route{
		get("/v1/floor", "getFloor", anyStaff, getFloor),
		get("/v1/search", "search", anyStaff, search),
		get("/v1/history", "exportShopHistory", ownerOnly, exportHistory),
		get("/v1/work-orders/{id}/journal", "listJournal", anyStaff, listOrderJournal),
	}
}
