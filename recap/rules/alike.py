"""Cases that no rule can tell apart: the same part in the same surroundings, under another name.

A long list holds the same few parts over and over. What rules read of a case is gathered here, so that cases that are
alike are judged once. Names, photographs, notes and coordinates are no part of it: rules read none of them, but for
the board's name in what is said about polarity, and coordinates through the gap to the neighbour.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace
from operator import attrgetter

from recap.model import Board, Polarity, Rail, Unit
from recap.problems import Location
from recap.rules.case import Case

_OF_POSITION = attrgetter(
    "marked", "documented", "measured", "polarity", "role", "conditions", "quantity", "override", "override_reason"
)
_OF_BODY = attrgetter(
    "kind", "mounting", "diameter_mm", "length_mm", "lead_spacing_mm", "hole_diameter_mm", "terminals",
    "room_above_mm", "neighbour_gap_mm", "face",
)  # fmt: skip
_NOWHERE = Location()
_NO_WITNESS = Polarity()


class Likeness:
    """Tells what rules read of the cases of one job; surroundings are looked at once and then known by number."""

    def __init__(self) -> None:
        self._known: dict[int, int] = {}
        self._numbers: dict[Hashable, int] = {}

    def of(self, case: Case) -> Hashable:
        """Return what rules read of a case; the job's cases must stay in memory meanwhile."""
        position = case.position
        return (
            _OF_POSITION(position),
            _OF_BODY(position.body),
            self._number(case.unit),
            self._number(case.board),
            case.board.name if position.polarity != _NO_WITNESS else "",
            None if case.rail is None else self._number(case.rail),
            case.neighbour_gap,
            id(case.bank) if len(case.bank) > 1 else len(case.bank),
            id(case.policy),
            case.present_year,
        )

    def _number(self, surroundings: Unit | Board | Rail) -> int:
        number = self._known.get(id(surroundings))
        if number is None:
            number = self._numbers.setdefault(_nameless(surroundings), len(self._numbers))
            self._known[id(surroundings)] = number
        return number


def _nameless(surroundings: Unit | Board | Rail) -> Hashable:
    """Return surroundings without what only names them; a rail's name is shown among the reasons."""
    if isinstance(surroundings, Unit):
        return replace(surroundings, name="", serial="", notes="", boards=(), rails=(), location=_NOWHERE)
    if isinstance(surroundings, Board):
        return replace(
            surroundings, name="", revision="", description="", refit_place=None, rails_needed=(), picture="",
            verified_how="", location=_NOWHERE,
        )  # fmt: skip
    return replace(surroundings, location=_NOWHERE)
