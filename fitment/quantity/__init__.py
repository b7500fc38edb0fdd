"""Values as people write them: number, unit, uncertainty, in and out. The bottom storey: it knows nothing else.

Belongs here: the closed list of units, parsing and showing of quantities, tools and what they leave in doubt.
Does not belong: names of threads (a standard's business), which dimension has which unit (the dictionary's).
"""
