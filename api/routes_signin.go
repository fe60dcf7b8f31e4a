package api

func (s *Server) signInRoutes() []route {
	return []route{
		post("/v1/setup", "setUp", anyone, setUp),
		post("/v1/sign-in", "signIn", anyone, signIn),
		post("/v1/refresh", "refresh", anyone, refresh),
		post("/v1/sign-out", "signOut", anyStaff, signOut),
		get("/v1/me", "whoAmI", anyStaff, whoAmI),
		effect("/v1/me/password", "changePassword", anyStaff, changePassword).prepared(prepareChange),
		effect("/v1/me/pin", "setPin", anyStaff, setPIN).prepared(preparePIN),
		get("/v1/sessions", "listSessions", anyStaff, listSessions),
		effect("/v1/sessions/{id}/end", "endSession", anyStaff, endSession),
	}
}
