//go:build unix

package main

import (
	"path/filepath"
	"strings"
	"syscall"
)

// checkDisk tells how much room is left where the database file is; nothing of a server.
func checkDisk(database string) []checkup {
	if strings.Contains(database, "://") {
		return nil
	}
	var on syscall.Statfs_t
	if err := syscall.Statfs(filepath.Dir(database), &on); err != nil {
		return []checkup{{"disk", err.Error(), "name the database's folder with --database", true}}
	}
	free := int64(on.Bavail) * int64(on.Bsize)
	one := checkup{what: "disk", found: size(free) + " are free"}
	if free < diskLow {
		one.todo = "make room: less than 1 GiB is left for answers and backups"
	}
	return []checkup{one}
}
