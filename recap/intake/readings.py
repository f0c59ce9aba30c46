"""One cell, one reading: what it says, how certain that is, and what else the same cell told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Finding:
    """Something to report about a cell; the address is added by whoever knows it."""

    code: str
    message: str
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """What a cell says.

    `value` is None when nothing may be used. `extras` are fields of the position, beside the column's own,
    that the cell told as well; `alternatives` the values among which an ambiguous cell leaves the choice.
    `plain` marks entries taken as they stand, which need no second look.
    """

    value: Any = None
    shown: str = ""
    certainty: str = "certain"
    because: str = ""
    extras: Mapping[str, Any] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    alternatives: tuple[float, ...] = ()
    plain: bool = False
