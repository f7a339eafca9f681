package panel

import (
	"errors"
	"fmt"
)

// Errors that the edges tell apart with errors.Is.
var (
	ErrOtherRole   = errors.New("this device is kitchen or floor of the study already")
	ErrUnlikely    = errors.New("this is far from the temperature that the study asks for")
	ErrNotFound    = errors.New("not found")
	ErrFull        = errors.New("every place of the plan is taken")
	ErrGroupFull   = fmt.Errorf("the places that are left are for other groups: %w", ErrFull)
	ErrWrongState  = errors.New("the study is not in a state that allows this")
	ErrMayLeave    = fmt.Errorf("%w: guests may still take their answers out", ErrWrongState)
	ErrNoLook      = fmt.Errorf("%w: no look is due", ErrWrongState)
	ErrNotOpen     = errors.New("the tasting is not open")
	ErrEarly       = fmt.Errorf("it opens later: %w", ErrNotOpen) // a sitting that is prepared
	ErrPassword    = errors.New("wrong password")
	ErrWord        = errors.New("the word of the evening has to be said")
	ErrSlowDown    = errors.New("too many wrong passwords or codes")
	ErrPasswordSet = errors.New("a password is set already")
	ErrWeak        = errors.New("password too short, too long or easy to guess")
	ErrCode        = errors.New("wrong code")
	ErrRefused     = errors.New("this role may not do that")
	ErrWithdrawn   = errors.New("the assessor deleted their answers")
	ErrNoSpare     = errors.New("no spare code is left for this sitting")
	ErrTasted      = errors.New("a plate was set down at this place, refused or rated")
	ErrRated       = errors.New("the serving has its answers already")
	ErrRepeated    = errors.New("this act was taken before")
	ErrOtherCode   = errors.New("the plate carries another code by now")
	ErrNotYet      = errors.New("the answers to an earlier serving have not arrived")
	ErrOverAlready = errors.New("what this was about is over")
	ErrSamePerson  = errors.New("another person has to agree")
	ErrReason      = errors.New("a reason has to be given")
	ErrNotRead     = errors.New("allergens and consent have to be read and agreed to, and an age confirmed where " +
		"one is asked, first")
	ErrAge         = errors.New("the age that the study asks for has to be confirmed first")
	ErrStratum     = errors.New("what decides which sample a guest gets has to be answered first")
	ErrAmbiguous   = errors.New("several plates of this sitting carry that code")
	ErrBadValue    = errors.New("this is no sensible value")
	ErrStale       = errors.New("the draft was changed since it was read")
	ErrMistakes    = errors.New("the study has mistakes")
	ErrNotExported = errors.New("the study was not exported since it last changed")
	ErrAmended     = errors.New("a later version rests on this one")
	ErrEarlierOpen = errors.New("an earlier version of the study is open")
	ErrNoHouse     = errors.New("it is not said whose study it is")
	ErrOwnStudy    = errors.New("the study is one of this service")
	ErrThere       = errors.New("the study is on this service already")
	ErrChanging    = errors.New("the study changes while it is read; try again in a moment")
	ErrJoined      = errors.New("the study stands in the record already")
)

// NotYetError says that a study is sound but asks for something that this
// service cannot run. What and Do are for people.
type NotYetError struct{ What, Do string }

func (e *NotYetError) Error() string { return e.What + "; " + e.Do }

// FreedError says that a personal link had a place at which nobody tasted, and which was
// made free for the next guest. It is an [ErrNotFound].
type FreedError struct{ Join JoinToken } // token of the link that joins the sitting again

func (e *FreedError) Error() string { return "the place was made free for the next guest" }

func (e *FreedError) Unwrap() error { return ErrNotFound }

// AnswerError says which answers of a ballot are missing or off their scale,
// by field name. Nothing was recorded.
type AnswerError struct{ Fields map[string]Problem }

func (e *AnswerError) Error() string { return "answers are missing or off their scale" }
