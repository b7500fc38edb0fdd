"""Records between shops: JSON Lines out of one catalogue and into another, as a union of sets.

`form` says what a line is, `files` reads and writes them, `choosing` says which go, `rows` makes them of what is on
record, `taking` puts them in. Sheets and workbooks are not here: they are for people (`importing`, `exporting`).
"""
