"""Rules of authorities on steering, as read: facts to take to a certifier, never a judgement of a car.

Tables ``jurisdictions`` and ``jurisdiction_rules``; the substance is told in our own words, and many a document was
read as an excerpt or at second hand. That no rule is recorded says nothing.
"""

from __future__ import annotations

from functools import cache

from fitment.frozen import dataclass
from fitment.standards.table_files import rows

#: what a rule may touch
TOUCHES = (
    "assist",
    "bend",
    "certify",
    "clearance",
    "column",
    "condition",
    "crush zone",
    "hand conversion",
    "heat",
    "joint angle",
    "plating",
    "play",
    "records",
    "registration",
    "shaft",
    "stops",
    "toe",
    "track width",
    "travel",
    "weld",
    "wheel diameter",
)


@dataclass(frozen=True)
class Jurisdiction:
    """A country, State or body of rules.

    Attributes:
        name: ``NZ``.
        title: ``New Zealand``.
        also: other ways in which it is written.
        within: the one whose rules hold too; "" for none.
    """

    name: str
    title: str
    also: tuple[str, ...]
    within: str


@dataclass(frozen=True)
class JurisdictionRule:
    """One rule as read.

    Attributes:
        id: ``nz-01``.
        jurisdiction: its name.
        document, paragraph: where it stands.
        substance: in our own words.
        touches: what it is about, of `TOUCHES`.
        read: the date of the text that was read.
        second_hand: whether it was read as quoted by another.
        source: what was read.
    """

    id: str
    jurisdiction: str
    document: str
    paragraph: str
    substance: str
    touches: tuple[str, ...]
    read: str
    second_hand: bool
    source: str

    @property
    def place(self) -> str:
        """``NZ VIRM in-service ..., reason for rejection 5(c); as at 29 Mar 2024``; second hand says so."""
        hand = ", second hand" if self.second_hand else ""
        return f"{self.document}, {self.paragraph}; {self.read}{hand}"


@cache
def jurisdictions() -> dict[str, Jurisdiction]:
    """Every jurisdiction of which rules are held, by name."""
    return {
        row["name"]: Jurisdiction(
            row["name"], row["title"], tuple(row["also"].split("|")) if row["also"] else (), row["within"]
        )
        for row in rows("jurisdictions")
    }


@cache
def jurisdiction_rules() -> dict[str, JurisdictionRule]:
    """Every rule by its id, in the order of the table."""
    return {
        row["id"]: JurisdictionRule(
            id=row["id"],
            jurisdiction=row["jurisdiction"],
            document=row["document"],
            paragraph=row["paragraph"],
            substance=row["substance"],
            touches=tuple(row["touches"].split("|")),
            read=row["read"],
            second_hand=row["second_hand"] == "yes",
            source=row["source"],
        )
        for row in rows("jurisdiction_rules")
    }


def find_jurisdiction(text: str) -> Jurisdiction | None:
    """The jurisdiction that a text names, in any case; None where no rules are held for it."""
    wanted = " ".join(text.split()).lower()
    for one in jurisdictions().values():
        if wanted in {name.lower() for name in (one.name, one.title, *one.also)}:
            return one
    return None


def rules_in(one: Jurisdiction) -> tuple[JurisdictionRule, ...]:
    """The rules held for a jurisdiction, its own before those of the one that it lies within."""
    names = [one.name, *([one.within] if one.within else [])]
    return tuple(rule for name in names for rule in jurisdiction_rules().values() if rule.jurisdiction == name)
