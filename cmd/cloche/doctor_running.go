package main

import (
	"context"
	"log/slog"
	"time"

	"cloche/internal/server"
	"cloche/internal/store"
)

// checkups are what a service that runs looks at: when it starts, and when the lead is
// about to open a sitting. Whether the database is sound was found out when it was opened.
func (o settings) checkups(kept *store.Store) func(context.Context) []server.Checkup {
	return func(ctx context.Context) []server.Checkup {
		now := time.Now()
		all := append([]checkup{checkWriting(ctx, kept, now)}, checkDisk(o.Database)...)
		all = append(all, checkClock(ctx, kept, now), checkBackups(o.Backup.Dir, now))
		shown := make([]server.Checkup, len(all))
		for i, x := range all {
			shown[i] = server.Checkup{What: x.what, Found: x.found, Todo: x.todo, Wrong: x.wrong}
		}
		return shown
	}
}

// logCheckups says at the start what has to be put right.
func logCheckups(log *slog.Logger, all []server.Checkup) {
	for _, x := range all {
		if x.Todo == "" {
			continue
		}
		level := slog.LevelWarn
		if x.Wrong {
			level = slog.LevelError
		}
		log.Log(context.Background(), level, "before guests come: "+x.What, slog.String("found", x.Found),
			slog.String("do", x.Todo))
	}
}
