package servertest

// Crusts is an order of four plates side by side, after a warm-up.
const Crusts = `cloche: 1
title: CANARY-TITLE which crust is liked most?
question: ranking-by-liking
invented: true
dishes:
  - {id: canarydish, title: CANARY-DISH, portion: 30 g, serve at: 55 °C, allergens: [milk]}
  - {id: canarydish2, title: CANARY-DISH two, portion: 30 g, serve at: 55 °C, allergens: [celery]}
  - {id: canarydish3, title: CANARY-DISH three, portion: 30 g, serve at: 55 °C, allergens: [celery]}
  - {id: canarydish4, title: CANARY-DISH four, portion: 30 g, serve at: 55 °C, allergens: [celery]}
samples:
  - {id: canaryA, dish: canarydish, blind: true}
  - {id: canaryB, dish: canarydish2, blind: true}
  - {id: canaryC, dish: canarydish3, blind: true}
  - {id: canaryD, dish: canarydish4, blind: true}
panel: {assessors: 4}
serving: {rinse: 0 s, seed: 7, warm-up: canaryA, spare codes: 3}
texts:
  consent: I agree to taste.
  instructions: Taste from left to right.
`

// Creams is a sorting of four plates into two pairs, given twice after a warm-up.
const Creams = `cloche: 1
title: CANARY-TITLE does the cream matter?
question: tetrad
invented: true
dishes:
  - {id: canarydish, title: CANARY-DISH, portion: 30 g, serve at: 55 °C, allergens: [milk]}
  - {id: canarydish2, title: CANARY-DISH two, portion: 30 g, serve at: 55 °C, allergens: [celery]}
samples:
  - {id: canaryA, dish: canarydish, blind: true}
  - {id: canaryB, dish: canarydish2, blind: true}
panel: {assessors: 4}
serving: {rinse: 0 s, seed: 7, replicates: 2, warm-up: canaryA, spare codes: 3}
texts:
  consent: I agree to taste.
  instructions: Taste from left to right.
`
