"""Does this mate with that: one file per kind of joint, pure, each registering itself once.

Belongs here: the dimensions a joint needs, its key, its margins, the work that could make it fit, its rules.
Does not belong: which joints a kit has, where values come from, anything printed.
"""
