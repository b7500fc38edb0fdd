"""What the parts are: schema, dictionary of dimensions, readings, adopted values, import, export and queries.

Belongs here: everything that knows SQLAlchemy, and the dictionary that says which dimensions exist.
Does not belong: whether two parts mate, what a kit is, how anything is printed.
"""
