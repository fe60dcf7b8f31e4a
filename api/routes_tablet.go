package api

func (s *Server) tabletRoutes() []route {
	return []route{
		get("/v1/tablets", "listTablets", ownerOnly, listTablets),
		effect("/v1/tablets", "addTablet", ownerOnly, addTablet),
		effect("/v1/tablets/{id}/revoke", "revokeTablet", ownerOnly, revokeTablet),
		post("/v1/tablet/enrol", "enrolTablet", anyone, enrolTablet),
		post("/v1/tablet/heartbeat", "tabletHeartbeat", tabletOnly, heartbeat),
		get("/v1/tablet/staff", "tabletStaff", tabletOnly, tabletStaff),
		post("/v1/tablet/sign-on", "signOn", tabletOnly, signOn),
		post("/v1/tablet/sign-on/renew", "renewSignOn", tabletOnly, renewSignOn),
	}
}
