package api

func (s *Server) moneyRoutes() []route { return nil }
