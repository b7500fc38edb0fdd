"""What may be done to a steering part: what is refused, what only a certifier may pass, what a made part must state.

Table ``operations``. Nothing in it tells how to weld, heat, bend, plate or splice.
"""

from __future__ import annotations

import re
from functools import cache

from fitment.frozen import dataclass
from fitment.standards.jurisdictions import JurisdictionRule, jurisdiction_rules
from fitment.standards.table_files import rows

#: how an answer begins, gravest first
ANSWERS = {
    "no": "no",
    "certifier": "only with a certifier",
    "described": "as a made part, only with a certifier",
}


@dataclass(frozen=True)
class Operation:
    """Something that people do, or would do, to steering parts.

    Attributes:
        id: ``weld``.
        title: for people.
        words: words and phrases by which it is asked for.
        answer: of `ANSWERS`.
        says: what this tool has to say of it.
        state: what to state or record.
        passes: who may pass it.
        rules: the rules that touch it.
        source, source_kind: what the answer rests on.
    """

    id: str
    title: str
    words: tuple[str, ...]
    answer: str
    says: str
    state: str
    passes: str
    rules: tuple[JurisdictionRule, ...]
    source: str
    source_kind: str

    @property
    def first_line(self) -> str:
        """``no: welding ... (NZ VIRM ..., reason for rejection 5(c); as at 29 Mar 2024)``."""
        place = self.rules[0].place if self.rules else "no rule on it was read; that says nothing of yours"
        return f"{ANSWERS[self.answer]}: {self.says} ({place})"


@cache
def operations() -> dict[str, Operation]:
    """Every operation by its id, in the order of the table."""
    held = jurisdiction_rules()
    return {
        row["id"]: Operation(
            id=row["id"],
            title=row["title"],
            words=tuple(row["words"].split("|")),
            answer=row["answer"],
            says=row["says"],
            state=row["state"],
            passes=row["passes"],
            rules=tuple(held[rule] for rule in row["rules"].split("|") if rule),
            source=row["source"],
            source_kind=row["source_kind"],
        )
        for row in rows("operations")
    }


def operations_asked(question: str) -> tuple[Operation, ...]:
    """The operations that a question names, the gravest answer first; none where it names none.

    The longest phrases are taken first and their words used up: an "adapter plate" is no plating.
    """
    text = f" {' '.join(re.findall(r'[a-z]+', question.lower()))} "
    phrases = [(phrase, one) for one in operations().values() for phrase in one.words]
    found: dict[str, Operation] = {}
    for phrase, one in sorted(phrases, key=lambda pair: -len(pair[0].split())):
        if f" {phrase} " in text:
            text = text.replace(f" {phrase} ", " | ")
            found[one.id] = one
    grave, order = list(ANSWERS), list(operations())
    return tuple(sorted(found.values(), key=lambda one: (grave.index(one.answer), order.index(one.id))))
