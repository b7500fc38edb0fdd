"""What a line of an exchange file is: its sort, its fields, its uid and its digest. Pure.

A uid follows from what a record is (of things: from the reference; of words and readings: from all that they say); a
digest is that of the whole line. Both show damage and careless changes. They are no signature: whoever makes up a whole
record gives it a uid and a digest that match.
"""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Mapping
from typing import Any

from fitment.catalogue.cells import SPACE, reading_name, uid_of
from fitment.frozen import dataclass

FORMAT = "fitment.exchange/1"

#: kind of field -> longest text; "words" has no limit but that of a line
LIMITS = {"reference": 81, "code": 16, "uid": 36, "short": 32, "kind": 24, "unit": 16, "initials": 16, "date": 10}
LIMITS |= {"sha256": 64}

_SAID = {"reason": "words", "who": "initials", "dated": "date"}
_OF = {"of_sort": "subject", "of": "reference"}

#: sort -> its fields beside sort, uid and digest, in the order in which sorts depend on each other
FIELDS: dict[str, dict[str, str]] = {
    "shop": {"code": "code", "catalogue": "uid"},
    "permission": {"shop": "code", "text": "words", "dated": "date"},
    "vehicle": {"ref": "reference", "maker": "words", "model": "words", "years": "words", "note": "words"},
    "source": {
        **{"ref": "reference", "kind": "kind", "title": "words", "origin": "words", "dated": "date", "note": "words"},
    },
    "part": {"ref": "reference", "kind": "short", "maker": "words", "number": "words", "name": "words"},
    "item": {"ref": "reference", "part": "reference"},
    "fitted-to": {"part": "reference", "vehicle": "reference", "position": "words"},
    "sitting": {
        **{"ref": "reference", "who": "initials", "dated": "date", "source": "reference", "tool": "short"},
        **{"vehicle": "reference?", "datum": "words", "axes": "words", "ride_height": "words", "note": "words"},
    },
    "reading": {
        **_OF,
        **{"sitting": "reference", "feature": "short", "dimension": "short", "entered": "words", "bare_unit": "unit"},
        **{"number": "number?", "u": "number?", "word": "words?", "tool": "short", "condition": "unit"},
        **{"note": "words", "occurrence": "count"},
    },
    "withdrawal": {"reading": "uid", **_SAID, "instead": "uid?"},
    "decision": {
        **_OF,
        **{"feature": "short", "dimension": "short", "taken": "uids", "over": "uids"},
        **_SAID,
        "turn": "count",
    },
    "statement": {**_OF, "field": "kind", "text": "words", "dated": "date", "turn": "count"},
    "join": {"part": "reference", "other": "reference", "undone": "flag", **_SAID, "turn": "count"},
    "build": {
        **{"ref": "reference", "kit": "words", "vehicle": "reference", "dated": "date", "kit_file": "words"},
        **{"kit_digest": "sha256", "kit_text": "words", "who": "initials", "note": "words"},
    },
    "build-item": {"build": "reference", "item": "reference", "role": "short"},
    "build-sitting": {"build": "reference", "sitting": "reference"},
    "paper": {"of_sort": "owner", "of": "reference", "path": "words", "content": "sha256"},
}
#: what a thing or a paper may be of
SUBJECTS, OWNERS = ("vehicle", "part", "item"), ("sitting", "build")
#: records that are named by a reference
THINGS = ("vehicle", "source", "part", "item", "sitting", "build")
#: whose records they are, and on what terms: no part of what is known
TERMS = ("shop", "permission")


@dataclass(frozen=True)
class Line:
    """One record as shops exchange it.

    Attributes:
        sort: one of `FIELDS`.
        said: its fields; references with their shop, uids of readings, no keys of rows.
        place: where it stands, ``file:line``; "" where it comes from the catalogue.
    """

    sort: str
    said: Mapping[str, Any]
    place: str = ""

    @property
    def uid(self) -> str:
        """The uid that follows from what it says."""
        said = self.said
        if self.sort in THINGS:
            return str(uuid.uuid5(SPACE, f"{self.sort.capitalize()}:{said['ref']}"))
        if self.sort == "reading":
            return str(uuid.uuid5(SPACE, f"{reading_name(said)}#{said['occurrence']}"))
        if self.sort in ("statement", "decision"):
            of = Line(said["of_sort"], {"ref": said["of"]}).uid
            words = [said[name] for name in FIELDS[self.sort] if name not in ("of_sort", "of", "turn")]
            return uid_of(self.sort, of, *words)
        return uid_of(self.sort, *(said[name] for name in FIELDS[self.sort]))

    @property
    def digest(self) -> str:
        """SHA-256 of the line in canonical form (`canonical`) without this digest; hexadecimal."""
        return hashlib.sha256(canonical({"sort": self.sort, "uid": self.uid, **self.said}).encode()).hexdigest()

    @property
    def text(self) -> str:
        """The line as a file holds it."""
        return canonical({"sort": self.sort, "uid": self.uid, "digest": self.digest, **self.said})


def canonical(value: Mapping[str, Any]) -> str:
    """JSON with keys in alphabetical order, no spaces, text as it is (not escaped), numbers the shortest that round."""
    return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def of_all(digests: list[str]) -> str:
    """The digest of a file: SHA-256 of the digests of its lines, one after the other, hexadecimal."""
    return hashlib.sha256("".join(digests).encode()).hexdigest()
