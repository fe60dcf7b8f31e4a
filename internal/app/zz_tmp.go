package app

import "benchtag/internal/shop"

func (a *App) judge(c *JobChange, is *shop.Measurement) error { return nil }
