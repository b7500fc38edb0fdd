"""Upon which pieces of a mix an answer of `check` rests: what the search need not ask about again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fitment.frozen import dataclass
from fitment.kits.propose.judge import Rests
from fitment.kits.search.model import Piece

#: roles of which one stands where another might: what rests on the one's absence rests on the other
_IN_PLACE_OF = {
    "spherical_rod_end": ("rod_end",),
    "rod_end": ("spherical_rod_end",),
    "inner_joint": ("tie_rod",),
    "single_joint": ("lower_joint",),
    "lower_joint": ("single_joint",),
    "intermediate_shaft": ("single_joint",),
    "upper_joint": ("single_joint",),
}


@dataclass(frozen=True)
class Pieces:
    """The pieces of a mix by address, its adapters, and where none stands between two pieces though one might."""

    at: Mapping[str, Piece]
    adapters: frozenset[Piece]
    direct: Mapping[Piece, frozenset[Piece]]

    def of(self, addresses: frozenset[str] | None) -> frozenset[Piece] | None:
        """The pieces upon which an answer rests; None where it may rest on any."""
        if addresses is None:
            return None
        found = set(self.adapters)
        for address in addresses:
            if address in self.at:
                found.add(self.at[address])
                continue
            section, _, key = address.partition(".")
            found |= {self.at[other] for role in _IN_PLACE_OF.get(key, ()) if (other := f"{section}.{role}") in self.at}
        # an adapter between two of these would be another case
        return frozenset(found | {none for none, two in self.direct.items() if two <= found})


def because_of(rests: Sequence[Rests], pieces: Pieces) -> frozenset[Piece] | None:
    """The fewest pieces upon which one of several answers rests."""
    found = [of for one in rests if (of := pieces.of(one.addresses)) is not None]
    return min(found, key=lambda one: (len(one), sorted(one)), default=None)


def together(rests: Sequence[Rests], pieces: Pieces) -> frozenset[Piece] | None:
    """The pieces upon which several answers rest together."""
    found = [pieces.of(one.addresses) for one in rests]
    return None if None in found else frozenset(piece for one in found if one is not None for piece in one)
