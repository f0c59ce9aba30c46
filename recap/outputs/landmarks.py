"""Where a pad lies, worked out from the words that name it; nothing is drawn from words that leave a doubt."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from recap.model import Face, Judgement, PlusAt, Position

Direction = tuple[float, float]
"""A unit vector on the drawing of the board's part side: x to the right, y downwards, as drawings count."""

_SIDES: dict[str, Direction] = {
    "left": (-1.0, 0.0),
    "right": (1.0, 0.0),
    "top": (0.0, -1.0),
    "upper": (0.0, -1.0),
    "bottom": (0.0, 1.0),
    "lower": (0.0, 1.0),
}
_SIDE = "|".join(_SIDES)
_LANDMARK = re.compile(
    rf"(?:(?:nearer|near|nearest|towards?|to|at|facing)\s+)?(?:the\s+)?({_SIDE})(?:[\s-]+({_SIDE}))?"
    r"(?:\s+(?:edge|side|pad|end|hole|lead)(?:\s+of\s+the\s+board)?)?",
    re.IGNORECASE,
)
_NEIGHBOUR = re.compile(r"(?:(?:nearer|near|nearest|towards?|facing)\s+)(?:to\s+)?(\S+)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a body's centre is, in mm from the left and from the lower edge, seen from the part side."""

    x_mm: float
    y_mm: float


def spot(position: Position) -> Spot | None:
    """Return where a position is, if both coordinates were recorded."""
    body = position.body
    if body.x_mm is None or body.y_mm is None:
        return None
    return Spot(body.x_mm, body.y_mm)


def pad_a_direction(position: Position, spots: Mapping[str, Spot]) -> Direction | None:
    """Return the way from the body's centre to its pad A, or None where the landmark does not settle it."""
    if (side := pad_a_side(position)) is not None:
        return side
    here, neighbour = spot(position), _NEIGHBOUR.fullmatch(_words(position))
    there = spots.get(neighbour[1].upper()) if neighbour else None
    if here is None or there is None:
        return None
    return _unit(there.x_mm - here.x_mm, here.y_mm - there.y_mm)


def pad_a_side(position: Position) -> Direction | None:
    """Return the side of the body where pad A lies, if the landmark names one such as "left"."""
    side = _LANDMARK.fullmatch(_words(position))
    if side is None:
        return None
    x, y = (sum(axis) for axis in zip(*(_SIDES[s.lower()] for s in side.groups() if s), strict=True))
    # Left and right change sides when the board is turned over, and the words do not say which was meant.
    return _unit(x, y) if x == 0 or position.body.face is Face.PART_SIDE else None


def _words(position: Position) -> str:
    return position.polarity.pad_a.strip().rstrip(".")


def plus_direction(judgement: Judgement, spots: Mapping[str, Spot]) -> Direction | None:
    """Return the way to the plus side; None unless an orientation is agreed and its pad can be placed."""
    orientation = judgement.orientation
    if orientation.text is None or orientation.plus_at is None:
        return None
    to_a = pad_a_direction(judgement.position, spots)
    if to_a is None:
        return None
    if orientation.plus_at is PlusAt.A:
        return to_a
    return (-to_a[0], -to_a[1]) if orientation.plus_at is PlusAt.OTHER else None


def _unit(x: float, y: float) -> Direction | None:
    size = math.hypot(x, y)
    return (x / size, y / size) if size > 0 else None
