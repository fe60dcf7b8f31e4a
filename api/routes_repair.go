package api

func (s *Server) repairRoutes() []route { return nil }
