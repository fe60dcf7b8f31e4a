package photo

import (
	"image"
	"time"

	"benchtag/internal/app"
)

// Break makes a folder tell fn each step of a write.
func (f *Folder) Break(fn func(step string) error) { f.at = fn }

// SetRoom makes a folder report this much room.
func (f *Folder) SetRoom(r app.Room) { f.room = func() (app.Room, error) { return r, nil } }

// Steps are the steps of a write that Break hears of.
func Steps() []string {
	return []string{"folder", "created", "half written", "written", "rename", "renamed", "synced"}
}

// Looked is what a look tells.
type Looked struct {
	Width, Height, Orientation int
	Parts                      []byte
	Work                       int64
}

// Look looks at a header.
func Look(declared string, b []byte) (Looked, error) {
	s, err := look(declared, b)
	return Looked{s.width, s.height, s.orientation, s.parts, s.work}, err
}

// OrientationOf reads EXIF data.
func OrientationOf(b []byte) int { return orientationOf(b) }

// Upright turns a picture.
func Upright(in *image.RGBA, orientation int) *image.RGBA { return upright(in, orientation) }

// Hurry gives a baker short patience and stamina.
func (k *Baker) Hurry(patience, stamina time.Duration) { k.patience, k.stamina = patience, stamina }

// Occupy takes every slot; what it gives lets go of them.
func (k *Baker) Occupy() (free func()) {
	for range cap(k.slots) {
		k.slots <- struct{}{}
	}
	return func() {
		for range cap(k.slots) {
			<-k.slots
		}
	}
}

// CheckKey reports whether a key is one of ours.
func CheckKey(key string) error { return checkKey(key) }

// Squeeze makes a row of grey pixels narrower.
func Squeeze(grey []uint8, to int) []float32 {
	row := make([]uint8, 3*len(grey))
	for i, g := range grey {
		row[3*i], row[3*i+1], row[3*i+2] = g, g, g
	}
	out := make([]float32, 3*to)
	squeeze(row, len(grey), out, to)
	narrow := make([]float32, to)
	for i := range narrow {
		narrow[i] = out[3*i]
	}
	return narrow
}
