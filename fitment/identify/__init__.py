"""Which standard do these readings match, with odds. Pure: numbers in, odds out.

Belongs here: likelihoods of readings under a standard's limits, priors, the reading that would separate the first
two candidates. Does not belong: what a joint does with the answer, where readings are kept.
"""
