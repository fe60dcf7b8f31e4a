package api

import (
	"slices"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

func (s *Server) customerRoutes() []route {
	return slices.Concat(
		[]route{
			get("/v1/customers", "listCustomers", anyStaff, listCustomers),
			effect("/v1/customers", "addCustomer", counter, addCustomer),
			get("/v1/customers/{id}", "getCustomer", anyStaff, getCustomer),
			put("/v1/customers/{id}", "putCustomer", counter, putCustomer),
			effect("/v1/customers/{id}/erase", "eraseCustomer", ownerOnly, eraseCustomer),
			post("/v1/customers/{id}/export", "exportCustomer", ownerOnly, exportCustomer),
			post("/v1/customers/{id}/look", "lookUnderSeal", ownerOnly, lookUnderSeal),
		},
		routesOfShop(shopRecord[shop.Machine, MachineIn, MachineView]{path: "machines", one: "Machine", all: "Machines", write: counter,
			add: (*app.App).AddMachine, replace: (*app.App).ReplaceMachine, onto: MachineIn.onto, view: machineView}),
		[]route{
			get("/v1/machines/{id}/work-orders", "listMachineWorkOrders", anyStaff, listMachineWorkOrders),
			get("/v1/machines/{id}/history", "exportMachineHistory", counter, exportHistory),
		},
	)
}
