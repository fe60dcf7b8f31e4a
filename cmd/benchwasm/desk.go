//go:build wasip1

package main

import (
	"unsafe"

	"benchtag/internal/pad"
)

// desk is where the browser lays a question and finds the answer. It is the
// one variable that changes: memory that both sides know must stay where it is.
var desk struct {
	question [1 << 15]byte
	answer   []byte
}

// place gives where a question is to be laid, of at most 32 KiB.
//
//go:wasmexport place
func place() unsafe.Pointer { return unsafe.Pointer(&desk.question[0]) }

// ask answers the question of so many bytes that lies there, and gives where
// the answer lies in the upper half and its length in the lower.
//
//go:wasmexport ask
func ask(length int32) int64 {
	if length < 0 || int(length) > len(desk.question) {
		return 0
	}
	desk.answer = []byte(pad.Answer(string(desk.question[:length])))
	if len(desk.answer) == 0 {
		return 0
	}
	return int64(uintptr(unsafe.Pointer(&desk.answer[0])))<<32 | int64(len(desk.answer))
}
