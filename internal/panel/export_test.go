package panel

// DrySeed is for tests.
var DrySeed = drySeed
