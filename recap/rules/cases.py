"""Every position of an inspection in its surroundings."""

from __future__ import annotations

import math
from collections import defaultdict

from recap.model import Basis, Board, Condition, Inspection, Position
from recap.policy import Policy
from recap.rules.case import Case
from recap.rules.circuit import RESERVOIRS
from recap.rules.given import Given

_ABSENT = frozenset({Condition.EMPTY_BY_DESIGN})


def cases(inspection: Inspection, policy: Policy, present_year: int) -> tuple[Case, ...]:
    """Return one case a position, in the order of the inspection."""
    by_board: dict[tuple[str, str], list[Position]] = defaultdict(list)
    by_rail: dict[tuple[str, str], list[Position]] = defaultdict(list)
    for position in inspection.positions:
        by_board[position.key.unit, position.key.board].append(position)
        if position.role in RESERVOIRS and position.rail:
            by_rail[position.key.unit, position.rail].append(position)
    units = {unit.name: unit for unit in inspection.units}
    boards: dict[tuple[str, str], Board] = {}
    banks = {place: tuple(members) for place, members in by_rail.items()}
    made = []
    for position in inspection.positions:
        unit, place = units[position.key.unit], position.key[:2]
        if place not in boards:
            boards[place] = unit.board(position.key.board)
        made.append(
            Case(
                position=position,
                unit=unit,
                board=boards[place],
                rail=unit.rail(position.rail) if position.rail else None,
                policy=policy,
                present_year=present_year,
                neighbour_gap=neighbour_gap(position, by_board[place]),
                bank=banks.get((position.key.unit, position.rail), ()) if position.role in RESERVOIRS else (),
            )
        )
    return tuple(made)


def neighbour_gap(position: Position, neighbours: list[Position]) -> Given | None:
    """Return the free air to the nearest body: as measured, else from the coordinates of listed parts."""
    body = position.body
    if body.neighbour_gap_mm is not None:
        return Given("gap to the neighbour", body.neighbour_gap_mm, "mm", Basis.MEASURED)
    if body.x_mm is None or body.y_mm is None or body.diameter_mm is None:
        return None
    gaps = [
        math.hypot(other.body.x_mm - body.x_mm, other.body.y_mm - body.y_mm)
        - (other.body.diameter_mm + body.diameter_mm) / 2
        for other in neighbours
        if other is not position
        and other.key.designator != position.key.designator
        and other.body.face is body.face
        and not other.conditions & _ABSENT
        and other.body.x_mm is not None
        and other.body.y_mm is not None
        and other.body.diameter_mm is not None
    ]
    nearest = min(gaps, default=None)
    if nearest is None or nearest < 0:
        return None
    return Given("gap to the nearest listed capacitor", nearest, "mm", Basis.CALCULATED)
