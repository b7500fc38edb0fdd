"""`dataclass` of the standard library, with `frozen` left to the type checker.

mypy refuses every assignment to a field of a frozen dataclass. At run time nobody asks again: the two methods that
would refuse cost more than half of what a class takes to make, and every object is made by a call for each field.
Together they were a twelfth of a check (Python 3.11). Hash and equality are those of a frozen dataclass.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:
    import dataclasses

    def dataclass(cls: type | None = None, /, **options: Any) -> Any:
        """As `dataclasses.dataclass`."""

        def made(cls: type) -> type:
            asked = dict(options)
            hashed = asked.pop("frozen", False) and asked.get("eq", True) and "__hash__" not in cls.__dict__
            return dataclasses.dataclass(**asked, unsafe_hash=hashed)(cls)

        return made if cls is None else made(cls)
