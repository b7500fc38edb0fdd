"""The best mixes of parts, proven, out of astronomically many: pure.

What belongs here: arrays of costs, keys and lengths in, mixes out, and the reason where there is none. What does not:
the catalogue, words, units other than 0.1 mm, verdicts by name, printing. ``model`` says what a problem is, ``build``
makes its arrays, ``engine`` answers it.
"""
