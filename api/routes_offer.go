package api

func (s *Server) offerRoutes() []route { return nil }
