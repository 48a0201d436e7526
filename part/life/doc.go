// Package life estimates how much of the life of an aluminium electrolytic is
// used up, from what the restorer knows: its age, how many hours a day the unit
// ran, how warm it was in there, the ripple it carried, and what hot part sits
// beside it.
//
// A maker states a life at the highest temperature, say 2000 h at 85 °C. Every
// 10 K less doubles it, every 10 K more halves it: the water of the electrolyte
// leaves through the seal that much slower or faster. Ripple current heats the
// core beyond its surroundings, and a resistor beside it does so from outside;
// that is why the one capacitor near the dropper is spent when its sisters are
// good.
//
// An estimate is no verdict. Makers state the life that most parts surpass, and
// none speaks beyond fifteen years; a reading decides (package part). The
// estimate says which of fifty capacitors to read first, and whether a good one
// is worth keeping.
//
// Times are in seconds, temperatures in kelvins, currents in amperes.
package life
