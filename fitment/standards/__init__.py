"""What the books say: threads, tapers, splines, nuts, holes. Pure; tables are CSV with a source in every row.

Belongs here: sizes, limits and formulas of a published standard or handbook, and names of the trade marked as such.
Does not belong: anything measured on a part, any verdict.
"""
