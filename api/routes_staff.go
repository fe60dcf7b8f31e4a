package api

func (s *Server) staffRoutes() []route { return nil }
