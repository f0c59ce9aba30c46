"""What was found, turned back into rows of the inspection workbook, so that the next inspection starts from it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from decimal import Decimal
from enum import Enum
from typing import Any

from recap.bench.bring_up_fields import BRING_UP
from recap.model import Condition, Decision, Judgement, Kind, Plan, PlusAt
from recap.model.lists import AC_DC, YES_NO
from recap.model.sign_off import Expected
from recap.ruledata import table
from recap.units import farads

Cells = tuple[tuple[str, str], ...]
"""Pairs of heading and text; empty cells are left out."""

CAPACITORS, AFTER = "Capacitors", "Capacitors after"
"""The second holds the row of each position whose part was replaced, as it is afterwards."""

_FACTORS = {"uF": 1e6, "uA": 1e6, "mV": 1e3, "percent": 100.0}
_PICO_BELOW_F = 1e-9
_UNSAID = {"unknown", "not seen", "not verified"}
_WORDS: Mapping[str, Mapping[str, object]] = {"AcDc": AC_DC, "YesNo": YES_NO}


def with_sheets(plan: Plan, expected: Expected) -> Expected:
    """Return what a document expects together with the rows of the inspection that belong to it."""
    unit = plan.inspection.unit(expected.unit)
    if expected.document == BRING_UP:
        sheets = (
            ("Unit", (cells("Unit", unit),)),
            ("Rails", tuple(cells("Rails", rail) for rail in unit.rails)),
        )
        return replace(expected, sheets=sheets)
    own = [j for j in plan.judgements if j.key[:2] == (expected.unit, expected.board)]
    board = tuple(cells("Boards", board) for board in unit.boards if board.name == expected.board)
    sheets_of_board = (
        ("Boards", board),
        (CAPACITORS, tuple(cells(CAPACITORS, judgement.position) for judgement in own)),
        (AFTER, tuple(_after(judgement) for judgement in own if judgement.decision is Decision.REPLACE)),
    )
    return replace(expected, sheets=sheets_of_board)


def cells(sheet: str, item: object) -> Cells:
    """Return the filled cells of one row, in the order of the sheet's columns."""
    pairs = ((row["heading"], _text(row, _value(item, row["field"]))) for row in _columns(sheet))
    return tuple((heading, text) for heading, text in pairs if text)


def _columns(sheet: str) -> Iterable[Mapping[str, str]]:
    return (row for row in table("columns") if row["sheet"] == sheet and row["group"] != "plain lists only")


def _value(item: object, path: str) -> Any:
    for step in path.split("."):
        item = getattr(item, step)
    return item


def _text(column: Mapping[str, str], value: Any) -> str:
    if value is None or value == "" or value == ():
        return ""
    if column["list"] in _WORDS:
        return next(word for word, meaning in _WORDS[column["list"]].items() if meaning == value)
    form = _FORMS.get(column["reads"])
    if form is not None:
        return form(value)
    if isinstance(value, Enum):
        return "" if str(value) in _UNSAID else str(value)
    if column["reads"] == "capacitance" and value < _PICO_BELOW_F:
        return f"{_number(value * 1e12)} pF"
    if isinstance(value, int | float):
        return _number(value * _FACTORS.get(column["unit"], 1.0))
    return str(value)


def _number(value: float) -> str:
    return f"{Decimal(f'{value:.6g}'):f}"


def _tolerance(value: Any) -> str:
    low, high = value
    return _number(100 * high) if low == -high else f"{_number(100 * low)}/+{_number(100 * high)}"


def _conditions(value: Iterable[Condition]) -> str:
    found = set(value)
    return ", ".join(str(condition) for condition in Condition if condition in found)


def _rails(value: Iterable[tuple[str, float | None]]) -> str:
    return "; ".join(name if current is None else f"{name} {_number(current)}A" for name, current in value)


_FORMS: Mapping[str, Callable[[Any], str]] = {
    "tolerance": _tolerance,
    "choices": _conditions,
    "rails": _rails,
    "names": ", ".join,
    "year": str,
}


_OF_THE_PLACE = ("place and role", "room around", "polarity")
_KEPT = ("key.board", "key.designator", "body.lead_spacing_mm")
_OF_THE_OLD_BODY = ("body.neighbour_gap_mm", "body.terminals")


def _after(judgement: Judgement) -> Cells:
    """Return the row of a position once its part was replaced: the original goes to the documented columns."""
    position, spec = judgement.position, judgement.specification
    before = dict(cells(CAPACITORS, position))
    kept = {
        row["heading"]
        for row in _columns(CAPACITORS)
        if (row["group"] in _OF_THE_PLACE or row["field"] in _KEPT) and row["field"] not in _OF_THE_OLD_BODY
    }
    after = {heading: text for heading, text in before.items() if heading in kept}
    after["Condition"] = str(Condition.REPLACED_BEFORE)
    for documented, marked in (("Documented capacitance", "Capacitance"), ("Documented volts", "Volts")):
        value = before.get(documented) or before.get(marked)
        if value:
            after[documented] = value
    if spec is not None:
        pieces = spec.pieces if "parallel" in spec.arrangement else 1
        after["Capacitance"] = _number(spec.capacitance_f * pieces * _FACTORS["uF"])
        after["Volts"] = _number(spec.rated_voltage_v)
        after["Mounting"] = spec.mounting
        if len(spec.kinds) == 1 and spec.kinds[0] != Kind.UNKNOWN:
            after["Kind"] = spec.kinds[0]
        if spec.ac:
            after["AC or DC"] = "AC"
    if judgement.orientation.plus_at in (PlusAt.A, PlusAt.OTHER):
        after["As found"] = str(judgement.orientation.plus_at)
    original = position.marked.text or (farads(position.capacitance_f) if position.capacitance_f else "")
    notes = ("what was asked for; the part itself may be rated higher", f"original: {original}" if original else "")
    after["Note"] = "; ".join(part for part in (*notes, position.note) if part)
    return tuple(after.items())
