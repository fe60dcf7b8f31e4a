package api

func (s *Server) recordRoutes() []route { return nil }
