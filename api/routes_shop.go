package api

func (s *Server) shopRoutes() []route { return nil }
