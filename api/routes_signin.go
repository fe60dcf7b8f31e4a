package api

func (s *Server) signInRoutes() []route { return nil }
