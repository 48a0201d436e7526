// Package density says how likely a set of readings is under one hypothesis,
// when all that is known of the hypothesis is what a number of simulated
// circuits would show.
//
// A restorer has measured the gain of a filter at four frequencies. Had R2 drifted
// high, what would those gains be? Not four figures: every other part is somewhere
// within its tolerance, and so is R2 around its new value. A few hundred simulated
// boards with that fault, each with its own parts, make a cloud of points. This
// package turns the cloud into a probability density, blurred by the uncertainty
// of the meter, that can be asked at the point which was read. Readings hang
// together (a part that lifts one gain lifts the next), and the density knows that,
// so that two readings can together rule out what neither does alone. Weighed by
// the prior chance of each fault, the densities of all of them give the suspects;
// see [Posterior].
//
//	cloud, err := density.New(samples)            // one row for each simulated board
//	at, err := cloud.Of([]int{0, 2}, []float64{0.01, 0.01}) // readings 0 and 2, with the meter's u
//	l := at.Log([]float64{-3.02, 1.61})
//
// # How
//
// Every sample carries a little normal distribution whose shape is that of the
// whole cloud, scaled down by a width h, plus the meter's own:
//
//	p(x) = 1/n Σ N(x; m + a (s - m), h² S + U),  a² = 1 - h²
//
// with m and S the mean and covariance of the samples s, and U the squared standard
// uncertainties of the meter. Drawing the samples towards the mean by a keeps mean
// and covariance of the mixture those of the samples (M. West, "Approximating
// posterior distributions by mixtures", J. R. Statist. Soc. B 55 (1993) 409-422,
// section 2). At h = 1 that is one normal distribution; as h shrinks, it follows
// bends and edges of the cloud. The width is the one under which each sample is
// best foretold by the others (R. P. W. Duin, "On the choice of smoothing
// parameters for Parzen estimators of probability density functions", IEEE Trans.
// Computers 25 (1976) 1175-1179).
//
// Readings that tell the same thing twice serve to catch a slip of the pen, not to
// tell faults apart. Where one follows from the others along a curve, to within
// the meter, the kernels have to be narrow to follow it, and the estimate becomes
// rougher than with that reading left out: take about as many readings as the
// circuit has independent things to tell, three for a filter of second order.
//
// To compare faults, work their samples out with the same random errors of the
// parts (common random numbers): what chance does to two clouds is then much the
// same, and two faults that no reading can tell apart come out even.
//
// A circuit that may do one of two different things (latch or not) is two
// hypotheses; give each its own cloud, weighed.
package density
