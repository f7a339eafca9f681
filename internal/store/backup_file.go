package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// BackupFile writes an archive to a file that its owner alone can read. Until it
// is whole and on the disk it has another name. A file of that name is refused
// with [fs.ErrExist] unless replace is set.
func (s *Store) BackupFile(ctx context.Context, path string, replace bool, at time.Time) (Manifest, error) {
	if _, err := os.Lstat(path); err == nil && !replace {
		return Manifest{}, fmt.Errorf("write backup %s: %w; name another file, or allow to replace it", path,
			fs.ErrExist)
	}
	file, err := os.CreateTemp(filepath.Dir(path), ".backup-*") // mode 0600
	if err != nil {
		return Manifest{}, fmt.Errorf("write backup %s: %s: %w", path, explainFile(path, err), err)
	}
	defer os.Remove(file.Name())
	m, err := s.Backup(ctx, file, at)
	if err = errors.Join(err, file.Close()); err != nil {
		return Manifest{}, err
	}
	if err := keepAs(file.Name(), path, replace); err != nil {
		return Manifest{}, fmt.Errorf("write backup %s: %w", path, err)
	}
	return m, nil
}

// keepAs puts a finished file on the disk and then gives it its name.
func keepAs(temporary, path string, replace bool) error {
	if err := onDisk(temporary); err != nil {
		return err
	}
	if replace {
		if err := os.Rename(temporary, path); err != nil {
			return err
		}
		return onDisk(filepath.Dir(path))
	}
	// Unlike renaming, linking refuses a name that is taken meanwhile.
	err := os.Link(temporary, path)
	if err != nil && !errors.Is(err, fs.ErrExist) {
		err = os.Rename(temporary, path) // a disk without links
	}
	return errors.Join(err, onDisk(filepath.Dir(path)))
}

// onDisk waits until a file, or a folder's list of names, is on the disk.
func onDisk(path string) error {
	file, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(file.Sync(), file.Close())
}
