"""A proposed mix: the kit file, putting it together as a graph of parts and joints, checking it.

Belongs here: the kit's own rules and roles, and handing joints what they need from the whole car.
Does not belong: formulas of a joint, database statements, printing.
"""
