"""Work of a joint as a page of the machine shop sees it, without a catalogue; every part is invented."""

from __future__ import annotations

import io
from collections.abc import Mapping
from types import SimpleNamespace
from typing import Any

from fitment.finding import Finding
from fitment.joints.registration import Feature
from fitment.kits.joint import Joint
from fitment.kits.report import JointSummary
from fitment.sheets.drawing.dimensions import Angle, Diameter, Linear
from fitment.sheets.drawing.model import ScaleDrawing
from fitment.sheets.machine.job import Asked
from tests.support.features import setting


def asked_of(findings: Mapping[str, Finding]) -> Asked:
    """The first work among the findings of one joint."""
    finding = next(one for one in findings.values() if one.work)
    joint = JointSummary("left.joint", "left", "left joint", finding.joint, (finding,))
    return Asked((joint,), finding, finding.work[0])


def context(first: Feature | None = None, second: Feature | None = None) -> Any:
    """As much of a document's context as an operation asks for: limits, and the joint between two ends."""
    joints = ()
    if first is not None and second is not None:
        kind = SimpleNamespace(name="pattern")
        joints = (Joint("left.joint", "left", "left joint", (first.name, second.name), kind, (first, second)),)
    made = setting()
    return SimpleNamespace(
        kit=SimpleNamespace(limits=made.limits),
        assembly=SimpleNamespace(joints=joints, found={}),
        setting=made,
        once=lambda name, make: make(),
        stamp="catalogue 0, revision 0",
    )


def told_sizes(drawing: ScaleDrawing) -> list[str]:
    """What the dimensions of a drawing say, after seeing that it is what they measure."""
    told = []
    for one in drawing.dimensions:
        if isinstance(one, Linear | Diameter):
            assert f"{one.value:.{one.decimals}f}" in one.words
            told.append(one.words)
        elif isinstance(one, Angle):
            told.append(one.words)
    return told


def read_back(content: bytes) -> Any:
    """A DXF as a document, after an audit that finds nothing to mend."""
    import ezdxf

    document: Any = ezdxf.read(io.StringIO(content.decode("utf-8")))
    audit = document.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    return document
