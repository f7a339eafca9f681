package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"cloche/internal/panel"
	"cloche/internal/server/desk"
)

// forgetting are the settings of what is deleted after a study was closed.
type forgetting struct {
	Guests   int  // after how many days its guests are forgotten; 0 = never
	Studies  int  // after how many days all of it is deleted; 0 = never
	Verdicts bool // then what it found stays in the record
}

// forgetEvery is how often the service looks whether anything is due.
const forgetEvery = time.Hour

func (f *forgetting) addFlags(c *cobra.Command) {
	c.Flags().IntVar(&f.Guests, "forget-guests-after", 0, "days after the close of a study when guests' links, "+
		"where they sat and what they wrote are deleted; ratings stay (0 = never); also from "+
		"CLOCHE_FORGET_GUESTS_AFTER")
	c.Flags().IntVar(&f.Studies, "delete-studies-after", 0, "days after the close of a study when all of it is "+
		"deleted, exported or not; backups made before keep it (0 = never); also from CLOCHE_DELETE_STUDIES_AFTER")
	c.Flags().BoolVar(&f.Verdicts, "keep-verdicts", true,
		"keep in the record what a study found that is deleted so; also by CLOCHE_KEEP_VERDICTS=0 or 1")
}

// finish takes from the environment what no flag said, and checks it.
func (f *forgetting) finish(c *cobra.Command) error {
	return errors.Join(
		daysFrom(c, "forget-guests-after", "CLOCHE_FORGET_GUESTS_AFTER", &f.Guests, "guests cannot be forgotten"),
		daysFrom(c, "delete-studies-after", "CLOCHE_DELETE_STUDIES_AFTER", &f.Studies, "studies cannot be deleted"),
		f.verdictsFrom(c))
}

func (f *forgetting) verdictsFrom(c *cobra.Command) error {
	set := os.Getenv("CLOCHE_KEEP_VERDICTS")
	if set == "" || c.Flags().Changed("keep-verdicts") {
		return nil
	}
	if set != "0" && set != "1" {
		return fmt.Errorf("CLOCHE_KEEP_VERDICTS is %q; write 1 to keep what deleted studies found, or 0 to keep none "+
			"of it", set)
	}
	f.Verdicts = set == "1"
	return nil
}

func daysFrom(c *cobra.Command, flag, env string, days *int, cannot string) error {
	if set := os.Getenv(env); set != "" && !c.Flags().Changed(flag) {
		n, err := strconv.Atoi(set)
		if err != nil {
			return fmt.Errorf("%s is %q; write a whole number of days, such as 365", env, set)
		}
		*days = n
	}
	if *days < 0 || *days > 36500 {
		return fmt.Errorf("%s %d days after the close; write a number of days from 1 to 36500, or 0 for never", cannot,
			*days)
	}
	return nil
}

// noted says it in the service's log.
func (f forgetting) noted() string {
	said := "guests are never forgotten"
	if f.Guests > 0 {
		said = fmt.Sprintf("guests are forgotten %d days after the close", f.Guests)
	}
	switch {
	case f.Studies > 0 && f.Verdicts:
		said += fmt.Sprintf(", studies are deleted %d days after the close, their verdicts are kept", f.Studies)
	case f.Studies > 0:
		said += fmt.Sprintf(", studies are deleted %d days after the close, with their verdicts", f.Studies)
	}
	return said
}

// start forgets guests and deletes studies until ctx ends; the returned function waits for what is under way.
func (f forgetting) start(ctx context.Context, svc *panel.Service, log *slog.Logger) (wait func()) {
	done := make(chan struct{})
	go func() {
		defer close(done)
		for f.Guests > 0 || f.Studies > 0 {
			f.look(ctx, svc, log)
			if !pauseUntil(ctx, time.Now().Add(forgetEvery)) {
				return
			}
		}
	}()
	return func() { <-done }
}

// look does what is due.
func (f forgetting) look(ctx context.Context, svc *panel.Service, log *slog.Logger) {
	did := func(what string, n int, err error) {
		if err != nil && ctx.Err() == nil {
			log.Error(what+": failed", slog.Any("error", err), slog.Duration("next_try_in", forgetEvery))
		}
		if n > 0 {
			log.Info(what, slog.Int("studies", n))
		}
	}
	if f.Studies > 0 {
		var say panel.Sayer
		if f.Verdicts {
			say = desk.SayWholeVerdict
		}
		n, err := svc.DeleteOld(ctx, f.Studies, say)
		did("studies deleted", n, err)
	}
	if f.Guests > 0 {
		n, err := svc.ForgetGuests(ctx, f.Guests)
		did("guests forgotten", n, err)
	}
}
