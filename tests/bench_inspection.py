"""Small inspections for the tests of the bench: a unit, its rails, and positions written in one line each."""

from __future__ import annotations

from typing import Any

from recap.model import (
    Body,
    Inspection,
    Judgement,
    Kind,
    Marked,
    Measured,
    Position,
    PositionKey,
    Rail,
    Role,
    SupplyKind,
    Unit,
)
from recap.planning import plan

UNIT = "Quern, invented"


def position(name: str, capacitance_f: float | None, rated_v: float | None, **given: Any) -> Position:
    """Return a wet aluminium position; `name` is board/designator, `read_v` the voltage measured in use."""
    board, designator = name.split("/")
    read_v = given.pop("read_v", None)
    kind = given.pop("kind", Kind.WET_ALUMINIUM)
    return Position(
        PositionKey(UNIT, board, designator),
        marked=Marked(capacitance_f, rated_v, ac=given.pop("ac", None)),
        measured=Measured(working_voltage_v=read_v),
        body=Body(kind),
        **given,
    )


def rail(name: str, nominal_v: float | None, supply: SupplyKind = SupplyKind.UNKNOWN, **given: Any) -> Rail:
    return Rail(name, nominal_v=nominal_v, supply=supply, **given)


def inspection(*positions: Position, rails: tuple[Rail, ...] = (), **unit: Any) -> Inspection:
    return Inspection(("quern.xlsx",), (Unit(UNIT, rails=rails, **unit),), tuple(positions))


def judgements(found: Inspection) -> tuple[Judgement, ...]:
    return plan(found, present_year=2026).judgements


__all__ = ["UNIT", "Role", "SupplyKind", "inspection", "judgements", "position", "rail"]
