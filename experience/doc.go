// Package experience learns from what benches see: which kinds of part, which
// families, makers and batches fail more often than is usual, and how sure that is.
//
// A bench writes down, job by job, how many parts of a sort had failed, how many
// were found good, how many were replaced while they still worked, and how many
// years they had all lived by then ([Record]). Records of several benches are laid
// together ([Merge]) in any order and as often as one likes: the same record is
// never counted twice, and none is lost.
//
// From the counts comes a factor for each sort of part ([Estimate]): by how much it
// fails more often than is usual, with an interval. Few failures move it little. One
// failure does not condemn a family, and one bad batch does not condemn its
// maker: what is known of a batch leans on its maker, that on its family, that on
// its kind, and that on the usual odds of package fault.
//
//	3 failed of 41 seen, of 2,310 part-years; usual 0.4; so 1.8 times as likely
//	as usual (0.8 to 3.1, 90 %)
//
// # How it is reckoned
//
// With the usual rate r of a part of that kind and age (fault.Kind.Rate), parts that
// have lived Y years are expected to have E = rY failures; F failures are seen. The
// factor θ by which they fail more often than is usual has a gamma prior of mean 1
// and shape a, F is Poisson with mean θE, and so θ afterwards has shape a + F and
// rate a + E. Source: A. Gelman and others, Bayesian Data Analysis, 3rd edition,
// section 2.6; ratios of observed to expected counts, D. Clayton and J. Kaldor,
// "Empirical Bayes estimates of age-standardized relative risks", Biometrics 43
// (1987), from memory.
//
// Kind, family, maker and batch form a tree; the factor of each is that of the one
// above times one of its own, again gamma of mean 1, of shape b (Bayesian Data
// Analysis, chapter 5). A sort tells the one above it what it has seen, discounted
// by 1/(1 + mE/b), with m its own estimate: its count spreads about the mean of the
// one above by its own factor too (the credibility weight of H. Bühlmann and
// E. Straub, 1970, from memory), so that no single family counts for more than b
// failures. And it is told what all the others have seen, its own left out, so that
// nothing is used twice. Products of gammas are taken as gammas with the same mean
// and variance; that the intervals still hold what they promise is tested by
// simulation.
//
// The strengths are fixed: a at the three failures that package fault gives its usual
// odds, b at twice as many (common practice, no source). They are not estimated from
// the counts, as empirical Bayes would (H. Robbins, 1956; Clayton and Kaldor): a
// bench has a dozen failures, and a spread estimated from a dozen failures is noise
// that would sway every factor.
//
// The package is pure: values in, values out.
package experience
