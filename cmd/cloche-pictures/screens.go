package main

import (
	"context"
	"fmt"
	"time"

	"github.com/chromedp/chromedp"
)

type step = chromedp.Action[chromedp.Void]

// takeReport signs in as the lead and shows the verdict and the figure of the closed study.
func takeReport(ctx context.Context, d *demo) ([]byte, error) {
	return taken(ctx, chromedp.EmulateViewport(900, 900),
		chromedp.Navigate(d.report), fill("input[type=password]", d.password), press(".next"),
		when(`document.querySelector("figure svg, figure canvas") !== null`),
		run(`document.querySelector("main h1").scrollIntoView()`))
}

// takeBallot joins the open study as a guest, types the code of the plate, which a demo says,
// and shows the first serving, untouched.
func takeBallot(ctx context.Context, d *demo) ([]byte, error) {
	return taken(ctx, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateScale(1.5)),
		chromedp.Navigate(d.join), tickAll(), press(".next"), tickAll(), press(".next"),
		when(`document.querySelector("#plate") !== null`),
		run(`document.querySelector("#plate").value = document.querySelector(".code").textContent`),
		run(`document.querySelector("main .next").click()`),
		when(`document.querySelector(".line") !== null`), run(`scrollTo(0, 0)`))
}

// taken does the steps and takes what the window shows then.
func taken(ctx context.Context, steps ...step) ([]byte, error) {
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		return nil, err
	}
	return chromedp.Run(ctx, chromedp.CaptureScreenshot())
}

func run(script string) step { return chromedp.Evaluate[chromedp.Void](`void (` + script + `)`) }

func fill(field, value string) step {
	return run(fmt.Sprintf(`document.querySelector(%q).value = %q`, field, value))
}

// tickAll ticks what has to be said before one goes on, as “I am old enough”.
func tickAll() step {
	return run(`document.querySelectorAll("main input[type=checkbox]").forEach((box) => { box.checked = true; })`)
}

// press clicks and waits for the page that it leads to.
func press(button string) step {
	return func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		clicked := run(fmt.Sprintf(`(window.left = true, document.querySelector("main " + %q).click())`, button))
		if _, err := clicked(ctx, t); err != nil {
			return chromedp.Void{}, err
		}
		return when(`window.left !== true && document.readyState === "complete"`)(ctx, t)
	}
}

// when waits until a script says true.
func when(script string) step {
	return func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		for {
			// A page that is being left cannot be asked: the next one is.
			if ok, err := chromedp.Evaluate[bool](script)(ctx, t); err == nil && ok {
				return chromedp.Void{}, nil
			}
			select {
			case <-ctx.Done():
				return chromedp.Void{}, fmt.Errorf("wait for %s: %w", script, ctx.Err())
			case <-time.After(50 * time.Millisecond):
			}
		}
	}
}
