package api

func (s *Server) floorRoutes() []route { return nil }
