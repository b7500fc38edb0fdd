"""In what order things were said, the same in every shop that has heard of them.

A `turn` is one more than that of the last word on the same matter that its writer knew of. What was said with knowledge
of another comes after it therefore, whatever clocks say, and rows may come in any order. Of words that knew nothing of
each other the more cautious one comes last.
"""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from fitment.catalogue.order import STATED_ORDER
from fitment.catalogue.schema import DecisionRow, PartJoin, Statement

#: statements, the one in force last
STATED: Any = sa.text(STATED_ORDER)
#: decisions, the one that holds last
DECIDED = (DecisionRow.dated, DecisionRow.turn, DecisionRow.uid)
#: what was said of joining two parts, the word that holds last; of two at once that they are not one
JOINED = (PartJoin.turn, PartJoin.undone, PartJoin.dated, PartJoin.uid)


def next_turn(session: Session, table: type[Statement] | type[DecisionRow] | type[PartJoin], **of: Any) -> int:
    """The turn of another word on the same matter.

    Args:
        of: columns that say what it is about.
    """
    return 1 + (session.execute(sa.select(sa.func.max(table.turn)).filter_by(**of)).scalar() or 0)
