package api

func (s *Server) tabletRoutes() []route { return nil }
