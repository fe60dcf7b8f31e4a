package api

func (s *Server) jobRoutes() []route { return nil }
