"""The order of work: supply boards first, then as the refit goes, and on a board one part after another."""

from __future__ import annotations

import re
from collections.abc import Sequence

from recap.model import BoardWork, Condition, Decision, Inspection, Judgement, Unit

_STEPS = (Decision.REPLACE, Decision.REFORM, Decision.MEASURE)
_STOPS = (Decision.STOP, Decision.REFER)
_STRIP_MM = 30.0
"""Parts are visited in strips across the board, so that neighbours in the list are neighbours on the board."""


def arrange(inspection: Inspection, judgements: Sequence[Judgement]) -> tuple[BoardWork, ...]:
    """Return one work order a board; every judgement stands in exactly one place of exactly one of them."""
    placed: dict[str, dict[str, list[Judgement]]] = {unit.name: {} for unit in inspection.units}
    for item in judgements:
        placed[item.key.unit].setdefault(item.key.board, []).append(item)
    return tuple(
        _board_work(unit, board, placed[unit.name][board])
        for unit in inspection.units
        for board in _board_order(unit, list(placed[unit.name]))
    )


def _board_order(unit: Unit, used: Sequence[str]) -> list[str]:
    named = [board.name for board in unit.boards]
    boards = list(dict.fromkeys(board for board in (*named, *used) if board in used))
    makes_rails = {rail.made_on for rail in unit.rails}
    places = {board.name: board.refit_place for board in unit.boards}

    def key(board: str) -> tuple[bool, float, int]:
        place = places.get(board)
        return board not in makes_rails, float("inf") if place is None else place, boards.index(board)

    return sorted(boards, key=key)


def _board_work(unit: Unit, board: str, judgements: Sequence[Judgement]) -> BoardWork:
    empty = [item for item in judgements if Condition.EMPTY_BY_DESIGN in item.position.conditions]
    rest = [item for item in judgements if Condition.EMPTY_BY_DESIGN not in item.position.conditions]
    stops = [item for item in rest if item.decision in _STOPS]
    steps = [item for item in rest if item.decision in _STEPS]
    left = [item for item in rest if item.decision not in _STOPS and item.decision not in _STEPS]
    return BoardWork(
        unit=unit.name,
        board=board,
        stops=tuple(sorted(stops, key=lambda item: (-item.rank, natural(item.key.designator)))),
        steps=tuple(sorted(steps, key=walk)),
        left_alone=tuple(sorted(left, key=lambda item: natural(item.key.designator))),
        do_not_fit=tuple(item.position for item in empty),
    )


def walk(judgement: Judgement) -> tuple[object, ...]:
    """Return the place of a step: replacing first, then strip by strip from the near edge, else by designator."""
    body = judgement.position.body
    first = _STEPS.index(judgement.decision)
    name = natural(judgement.key.designator), judgement.key.section
    if body.x_mm is None or body.y_mm is None:
        return first, 1, judgement.position.zone, 0.0, name
    return first, 0, "", (int(body.y_mm // _STRIP_MM), body.x_mm), name


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Return a sort key in which C9 comes before C10.

    >>> sorted(["C10", "C9", "C9a"], key=natural)
    ['C9', 'C9a', 'C10']
    """
    parts = re.findall(r"\d+|\D+", text)
    return tuple((0, int(part), "") if part.isdecimal() else (1, 0, part) for part in parts)
