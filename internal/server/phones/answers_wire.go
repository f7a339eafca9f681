package phones

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/words"
)

// wireReceipt is what a phone's script reads of a submission. Without an outcome
// an answer is not ours, and the phone sends again.
type wireReceipt struct {
	Outcome  string            `json:"outcome"`
	Turn     panel.TurnID      `json:"turn,omitempty"`
	Held     map[string]string `json:"held,omitempty"` // what stands, by field
	Comment  string            `json:"comment,omitempty"`
	Problems map[string]string `json:"problems,omitempty"` // in words, by field
}

// sendReceipt answers a script. What may go better later, such as a database that
// cannot be used, stays an error.
func sendReceipt(c *gin.Context, receipt panel.Receipt, err error) error {
	var answers *panel.AnswerError
	switch {
	case errors.As(err, &answers):
		c.JSON(http.StatusUnprocessableEntity, wireReceipt{Outcome: "incomplete", Turn: receipt.TurnID,
			Problems: wrongs(receipt.Back)})
	case errors.Is(err, panel.ErrWithdrawn):
		c.JSON(http.StatusGone, wireReceipt{Outcome: "withdrawn"})
	case errors.Is(err, panel.ErrNotFound):
		c.JSON(http.StatusNotFound, wireReceipt{Outcome: "unknown"})
	case errors.Is(err, panel.ErrBadValue):
		c.JSON(http.StatusBadRequest, wireReceipt{Outcome: "unknown"})
	case err != nil:
		return err
	default:
		c.JSON(http.StatusOK, wireReceipt{Outcome: receipt.Outcome.String(), Turn: receipt.TurnID, Held: receipt.Held,
			Comment: receipt.Comment})
	}
	return nil
}

// wrongs says what is wrong with answers that came back, by field.
func wrongs(back panel.Ballot) map[string]string {
	found := map[string]string{}
	for _, ask := range servingPage(onBallot{Frame: site.Frame{Lang: back.Language}, Ballot: back}, "", false).Wrong {
		found[ask.Field] = site.ProblemWords(words.In(back.Language), ask)
	}
	return found
}
