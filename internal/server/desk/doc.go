// Package desk is what stands in front of lead and partner: signing in, the library of
// studies, a study in each of its states, sittings with their links and cards, the
// board, the plan, the dry run, the report and the downloads. The board that a
// television shows stands here too.
package desk
