package api

func (s *Server) workOrderRoutes() []route { return nil }
