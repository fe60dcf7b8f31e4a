// Command benchwasm is the measuring pad's reckoning for a tablet: the same
// code that judges on the server, as WebAssembly that the browser calls. It is
// built by go generate and not committed; without it a tablet says that a
// reading is graded when it is sent.
package main

//go:generate env GOOS=wasip1 GOARCH=wasm CGO_ENABLED=0 go build -buildvcs=false -trimpath -buildmode=c-shared -ldflags "-s -w" -gcflags=all=-l -o ../../internal/web/staff/engine/bench.wasm .

func main() {} // everything is called from outside
