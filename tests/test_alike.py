"""Positions that rules cannot tell apart are judged once, and to the same end as each by itself."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from recap.intake import read_inspection
from recap.model import Inspection, PositionKey
from recap.policy import read_policy
from recap.problems import Location
from recap.rules.alike import Likeness
from recap.rules.cases import cases
from recap.rules.judging import judge, judge_all

EXAMPLE = Path(__file__).parent.parent / "examples" / "inspection.xlsx"
YEAR = 2025


def _doubled() -> Inspection:
    """Return the example with each machine there twice, the second under other names throughout."""
    inspection, _ = read_inspection([EXAMPLE])
    elsewhere = Location("other.xlsx", "Capacitors", "B7")
    units = tuple(
        replace(unit, name=f"second {unit.name}", serial="2", notes="", location=elsewhere) for unit in inspection.units
    )
    positions = tuple(
        replace(
            position,
            key=PositionKey(f"second {position.key.unit}", *position.key[1:]),
            photo="other.jpg",
            zone="elsewhere",
            note="another remark",
            location=elsewhere,
        )
        for position in inspection.positions
    )
    return replace(inspection, units=inspection.units + units, positions=inspection.positions + positions)


def test_names_photographs_and_notes_change_no_judgement() -> None:
    found = cases(_doubled(), read_policy(), YEAR)
    half = len(found) // 2
    likeness = Likeness()
    for case, other in zip(found[:half], found[half:], strict=True):
        if len(case.bank) < 2:
            assert likeness.of(case) == likeness.of(other)
        assert replace(judge(other), position=case.position) == judge(case)


def test_shared_judgements_are_those_of_each_position_by_itself() -> None:
    found = cases(_doubled(), read_policy(), YEAR)
    for case, judgement in zip(found, judge_all(found), strict=True):
        if not case.position.key.section:
            assert judgement == judge(case)


def test_what_rules_read_tells_cases_apart() -> None:
    case = cases(_doubled(), read_policy(), YEAR)[0]
    likeness = Likeness()
    others = (
        replace(case, unit=replace(case.unit, room_temperature_c=41.0)),
        replace(case, board=replace(case.board, height_limit_mm=7.5)),
        replace(case, position=replace(case.position, quantity=3)),
        replace(case, position=replace(case.position, body=replace(case.position.body, diameter_mm=99.0))),
    )
    assert all(likeness.of(case) != likeness.of(other) for other in others)
