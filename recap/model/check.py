"""A part held against a position: one point a demand, and the verdict over all of them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from recap.model.inspection import PositionKey
from recap.model.part import Part
from recap.model.plan import LifeEstimate
from recap.model.requirement import Relation, Strength, Value


class Verdict(StrEnum):
    """Whether a part may go to a position."""

    FITS = "fits"
    FITS_WITH_NOTE = "fits-with-note"
    ASK = "ask"
    NO = "no"


class PointVerdict(StrEnum):
    """How one demand stands."""

    OK = "ok"
    NOTE = "note"
    CANNOT_TELL = "cannot-tell"
    FAILS = "fails"


@dataclass(frozen=True, slots=True)
class Point:
    """One demand and what the part gives; margins count positive where there is room, None where none can be told."""

    quantity: str
    provided: float | str | None
    required: Value
    unit: str
    relation: Relation
    strength: Strength
    frequency_hz: float | None
    margin: float | None
    margin_pct: float | None
    verdict: PointVerdict
    asks: bool
    """Whether this point alone makes the answer "ask"."""
    rule: str
    source: str
    reason: str


@dataclass(frozen=True, slots=True)
class PartCheck:
    """The whole answer for one part at one position."""

    key: PositionKey
    part: Part
    arrangement: str
    verdict: Verdict
    points: tuple[Point, ...]
    life: LifeEstimate | None
    original_life: LifeEstimate | None
    would_fit_if: tuple[str, ...]
    suspicions: tuple[str, ...]
