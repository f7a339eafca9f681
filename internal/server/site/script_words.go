package site

import "cloche/internal/words"

// scriptTexts are what the scripts of kitchen's and floor's pages say, by the name that they
// have there. In them {name} stands for what is put in.
var scriptTexts = map[string]string{
	"away":     "No network. Carry on: it is sent when you’re back online.",
	"ended":    "This phone has to join again with its link and code. What is kept stays here and is sent then.",
	"unsent":   "Not signed out: this phone keeps notes that were not sent.",
	"one":      "1 note is kept on this phone.",
	"some":     "{n} notes are kept on this phone.",
	"waiting":  "Kept on this phone, not sent yet",
	"refused":  "Not accepted by the program",
	"told":     "To know",
	"leaveOut": "Leave it out",
	"read":     "I have read this",

	"ofSeat":     "{who}: {what}",
	"guest":      "Guest {label}",
	"atTable":    "Table {table}, seat {chair}",
	"forGuest":   "guest {label}",
	"forTable":   "table {table}, seat {chair}",
	"table":      "table {table}",
	"tray":       "tray {number}",
	"serving":    "serving {number}",
	"trayOf":     "tray of {n}",
	"noName":     "no name",
	"say":        "Say",
	"sayNothing": "No name: say nothing of the dish.",
	"compare":    "the one to compare with",
	"setInOrder": "A tray of {n}: set them down in this order, from the guest’s left.",
	"over":       "{over} of {of}",
	"wereOver":   "{over} of {of} servings were over when the network went.",
	"noPhone":    "No phone: staff enter the scores.",
	"thatIs":     "That is {what}, for {who}.",
	"thatIsOver": "That is {what}, for {who}: it is over.",
	"comesFirst": "That is {what}, for {who}. {first} comes first{then}.",
	"unknownCode": "No plate that this phone knows has this code. It may have got a new one, or belong to a guest " +
		"who came later.",
}

// scriptWords are the same in a language.
func scriptWords(w words.Words) map[string]string {
	all := map[string]string{}
	for name, text := range scriptTexts {
		all[name] = w.Translate(text)
	}
	return all
}
