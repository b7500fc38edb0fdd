"""What the car will do with it: pure geometry of rack, rods and suspension.

Belongs here: poses, curves, ratios, lengths as placed. Does not belong: whether parts mate (joints), any database.
"""
