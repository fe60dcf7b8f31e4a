package api

func (s *Server) customerRoutes() []route { return nil }
