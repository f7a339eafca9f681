package main

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"cloche/internal/panel"
)

// forgetting is the setting after how many days guests of a closed study are forgotten;
// 0 = never.
type forgetting int

// forgetEvery is how often the service looks whether anybody is due.
const forgetEvery = time.Hour

func (f *forgetting) addFlags(c *cobra.Command) {
	c.Flags().IntVar((*int)(f), "forget-guests-after", 0, "days after the close of a study when guests' links, "+
		"where they sat and what they wrote are deleted; ratings stay (0 = never); also from "+
		"CLOCHE_FORGET_GUESTS_AFTER")
}

// finish takes the number from the environment unless a flag said it, and checks it.
func (f *forgetting) finish(c *cobra.Command) error {
	if set := os.Getenv("CLOCHE_FORGET_GUESTS_AFTER"); set != "" && !c.Flags().Changed("forget-guests-after") {
		days, err := strconv.Atoi(set)
		if err != nil {
			return fmt.Errorf("CLOCHE_FORGET_GUESTS_AFTER is %q; write a whole number of days, such as 365", set)
		}
		*f = forgetting(days)
	}
	if *f < 0 || *f > 36500 {
		return fmt.Errorf("guests cannot be forgotten %d days after the close; write a number of days from 1 to "+
			"36500, or 0 for never", *f)
	}
	return nil
}

// start forgets guests until ctx ends; the returned function waits for what is under way.
func (f forgetting) start(ctx context.Context, svc *panel.Service, log *slog.Logger) (wait func()) {
	done := make(chan struct{})
	go func() {
		defer close(done)
		for f > 0 {
			n, err := svc.ForgetGuests(ctx, int(f))
			if err != nil && ctx.Err() == nil {
				log.Error("forgetting guests failed", slog.Any("error", err), slog.Duration("next_try_in", forgetEvery))
			}
			if n > 0 {
				log.Info("guests forgotten", slog.Int("studies", n))
			}
			if !pauseUntil(ctx, time.Now().Add(forgetEvery)) {
				return
			}
		}
	}()
	return func() { <-done }
}
