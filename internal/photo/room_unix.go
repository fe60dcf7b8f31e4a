//go:build linux || darwin

package photo

import (
	"fmt"
	"syscall"

	"benchtag/internal/app"
)

// roomOf asks the file system what is free for others than its owner.
func roomOf(folder string) (app.Room, error) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(folder, &s); err != nil {
		return app.Room{}, fmt.Errorf("photo: ask for free space: %w", err)
	}
	block := uint64(s.Bsize)
	return app.Room{Free: s.Bavail * block, Total: s.Blocks * block}, nil
}
