"""One operation of a machine shop each: drawing, sizes with limits, stop rule, what is wanting, what to record.

What belongs here: a function for each operation that a joint may propose, from the sizes that its `Work` carries. What
is not known is asked for, never guessed. ``machining`` makes the pages.
"""
