"""Which joins occur in a kit, from the roles that it names."""

from __future__ import annotations

from collections.abc import Collection

from fitment.frozen import dataclass
from fitment.kits.roles import SIDES, Join, roles


@dataclass(frozen=True)
class PlacedJoin:
    """A join at its place.

    Attributes:
        join: its row.
        side: ``left``, ``right`` or "" in the middle of the car.
        a, b: addresses of the two parts, named in the kit or not.
    """

    join: Join
    side: str
    a: str
    b: str

    @property
    def id(self) -> str:
        """``left.stud-eye``, ``rack-mount``."""
        return f"{self.side}.{self.join.name}" if self.side else self.join.name

    @property
    def title(self) -> str:
        """``left rod end stud in knuckle eye``."""
        return f"{self.side} {self.join.title}" if self.side else self.join.title

    def feature(self, end: str) -> str:
        """Name of the feature at end "a" or "b"."""
        name = self.join.feature_a if end == "a" else self.join.feature_b
        return name.format(side=self.side)


def address_of(role_name: str, side: str) -> str:
    """The address of a role on a side (which does not matter for a role in the middle of the car)."""
    role = roles()[role_name]
    return role.address(side if side in role.sections else role.sections[0])


def _called_for(join: Join, side: str, named: Collection[str]) -> bool:
    return not join.when or any(address_of(role, side) in named for role in join.when)


def told_instead(named: Collection[str], joins: Collection[Join]) -> tuple[str, ...]:
    """What is told of the joins that do not occur because the kit names none of the parts that would call for them."""
    told = [
        join.otherwise
        for join in joins
        if join.otherwise and not any(_called_for(join, side, named) for side in (SIDES if join.per_side else ("",)))
    ]
    return tuple(dict.fromkeys(told))


def placed_joins(named: Collection[str], joins: Collection[Join]) -> tuple[PlacedJoin, ...]:
    """Every join of a kit, the left side first, then the right, then the middle.

    Args:
        named: addresses of the parts that the kit names.
        joins: the joins that there are.
    """
    placed: list[PlacedJoin] = []
    for side in (*SIDES, ""):
        for join in joins:
            if join.per_side is not bool(side):
                continue
            if not _called_for(join, side, named):
                continue
            if any(address_of(role, side) in named for role in join.unless):
                continue
            placed.append(PlacedJoin(join, side, address_of(join.role_a, side), address_of(join.role_b, side)))
    return tuple(placed)
