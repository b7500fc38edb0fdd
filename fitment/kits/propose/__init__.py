"""Complete kits proposed from every part of a catalogue: what may stand where, what it costs, why there is none.

What belongs here: candidates and their keys, the wishes of a user, the ledger, the kit file of a proposal. What does
not: the search itself (`kits.search`), what fits (`check` alone decides), statements to the database, printing.
"""

from fitment.kits.propose.run import propose

__all__ = ["propose"]
