"""Values that cannot be, through the whole order: no traceback, nothing that JSON does not know, no row lost."""

from __future__ import annotations

import datetime as dt
import json
import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest
from command_line import assert_described, recap
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from inspection_files import rows_accounted, write_csv, write_sheets

from recap.intake.columns import columns
from recap.jobs import Ordered, order
from recap.model.lists import CLOSED_LISTS

ABSURD: tuple[Any, ...] = (
    "nan", "inf", "-inf", "-1", "0", "1e308", "-1e308", "1e-308", "1e400", "16 V", "100uF", "5 mm", "2024-10-25",
    "25.10.2024", "٣٣", "１６", "½", "16,000", "1.000,5", "?", "x" * 300, "\u202e16", "-0", "10/16", "99999999",
    "0.0000000001", "true", "1/0", 1e308, -5.0, 0.0, 1e-300, 1e15, True, dt.date(2024, 10, 25),
    dt.datetime(1900, 1, 1), dt.time(12, 30), 123456789012345678,
)  # fmt: skip
SHEETS = {
    "Boards": {"Board": "PSU"},
    "Rails": {"Rail": "+5V", "Nominal V": 5, "Made on board": "PSU", "Supply kind": "bridge", "Full load A": 1},
    "Capacitors": {
        "Board": "PSU", "Designator": "C1", "Capacitance": 2200, "Volts": 25, "Kind": "wet aluminium",
        "Mounting": "radial", "Diameter mm": 16, "Height mm": 26, "Lead spacing mm": 7.5, "Condition": "ok",
        "Role": "reservoir", "Rail": "+5V", "Volts in use": 17, "Temperature °C": 85, "ESR Ω": 0.1,
        "ESR frequency Hz": "100k", "Measured µF": 2000,
    },
}  # fmt: skip
UNIT = {"Name": "Sandpiper", "Year made": 1985}


def inspection_of(folder: Path, unit: Mapping[str, Any], sheets: Mapping[str, Sequence[Mapping[str, Any]]]) -> Path:
    """Write a workbook of these rows."""
    tables = {"Unit": [["Item", "Entry"], *([item, entry] for item, entry in unit.items())]}
    for name, rows in sheets.items():
        headings = list(dict.fromkeys(heading for row in rows for heading in row))
        tables[name] = [headings, *([row.get(heading) for heading in headings] for row in rows)]
    return write_sheets(folder / "inspection.xlsx", tables)


def assert_whole(made: Ordered, out: Path) -> None:
    """Fail where the plan is not what its schema says, or does not account for every row and position."""
    text = (out / "plan.json").read_text(encoding="utf-8")
    assert_described(json.loads(text, parse_constant=pytest.fail), "plan")
    inspection = made.plan.inspection
    assert rows_accounted(inspection)
    assert sorted(judgement.position.key for judgement in made.plan.judgements) == sorted(
        position.key for position in inspection.positions
    )
    in_work = [key for work in made.plan.work for key in (
        *(judgement.position.key for judgement in (*work.stops, *work.steps, *work.left_alone)),
        *(position.key for position in work.do_not_fit),
    )]  # fmt: skip
    assert sorted(set(in_work)) == sorted(position.key for position in inspection.positions)
    assert all(path.is_file() for path in made.written)


def test_rows_that_say_one_absurd_thing_everywhere(tmp_path: Path) -> None:
    kept = {"Board", "Designator", "Unit", "Section", "Rail", "Made on board"}
    sheets = {}
    for name, good in SHEETS.items():
        headings = [column.heading for column in columns(name) if column.heading not in kept]
        rows = [{**good, list(good)[name == "Capacitors"]: f"N{n}"} | dict.fromkeys(headings, value)
                for n, value in enumerate(ABSURD)]  # fmt: skip
        sheets[name] = [good, *rows]
    path = inspection_of(tmp_path, UNIT, sheets)
    made = order([path], tmp_path / "order")
    assert len(made.plan.inspection.positions) >= len(ABSURD)
    assert_whole(made, tmp_path / "order")


@pytest.mark.parametrize("value", ["nan", "-1", "1e308", "16 V", 1e-300, 1e308, 0.0, dt.date(2024, 10, 25)], ids=repr)
def test_units_that_say_one_absurd_thing_everywhere(tmp_path: Path, value: Any) -> None:
    unit = {**{column.heading: value for column in columns("Unit")}, "Name": "Sandpiper"}
    path = inspection_of(tmp_path, unit, {name: [row] for name, row in SHEETS.items()})
    assert_whole(order([path], tmp_path / "order"), tmp_path / "order")


def _numbers_of(sheet: str) -> list[str]:
    return [column.heading for column in columns(sheet) if column.reads in ("number", "integer")]


@pytest.mark.parametrize("value", [1e-9, 1e-3, 1e3, 1e6, -5000], ids=repr)
def test_extremes_that_are_in_range(tmp_path: Path, value: float) -> None:
    sheets = {
        name: [{**good, list(good)[name == "Capacitors"]: f"N{n}", heading: value}
               for n, heading in enumerate(_numbers_of(name))] + [good]
        for name, good in SHEETS.items()
    }  # fmt: skip
    path = inspection_of(tmp_path, UNIT | dict.fromkeys(_numbers_of("Unit"), value), sheets)
    assert_whole(order([path], tmp_path / "order"), tmp_path / "order")


def test_swapped_columns_are_doubted_and_never_shrink_a_part(tmp_path: Path) -> None:
    text = "Board;Ref;Value;Volts;Type;Dia;Height;LS\n" + "".join(
        f"PSU;C{n};{volts};{value};elko radial;{height};{dia};{height}\n"
        for n, (value, volts, dia, height) in enumerate([(2200, 25, 16, 26), (470, 63, 12.5, 20), (10000, 16, 18, 35)])
    )
    made = order([write_csv(tmp_path / "list.csv", text)], tmp_path / "order")
    assert_whole(made, tmp_path / "order")
    doubted = {problem.location.cell[1:] for problem in made.problems if problem.severity != "note"}
    assert doubted == {"2", "3", "4"}


WORDS = [word for words in CLOSED_LISTS.values() for word in words]
CELLS = (
    st.sampled_from([*ABSURD, "", None, "C1", "C1-C4", "PSU", "+5V", "4u7", "2x100", "50+50", "=A1", "NC"])
    | st.sampled_from(WORDS)
    | st.floats()
    | st.integers(-(10**18), 10**18)
    | st.text(max_size=6)
    | st.datetimes(dt.datetime(1900, 1, 1), dt.datetime(2100, 1, 1))
)


def _cell(value: Any) -> Any:
    """Return what openpyxl takes: no control characters, no sign that XML cannot hold."""
    if isinstance(value, str):
        return "".join(char for char in value if char.isprintable())
    return str(value) if isinstance(value, float) and not abs(value) < 1e300 else value


@settings(
    max_examples=settings().max_examples // 10,  # each is a whole order
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(data=st.data())
def test_any_cells_at_all(tmp_path: Path, data: st.DataObject) -> None:
    sheets = {}
    for name, good in SHEETS.items():
        headings = st.sampled_from([column.heading for column in columns(name)])
        changes = data.draw(st.lists(st.dictionaries(headings, CELLS, max_size=5), max_size=4), label=name)
        sheets[name] = [{**good, **{heading: _cell(value) for heading, value in row.items()}} for row in changes]
    unit = data.draw(
        st.dictionaries(st.sampled_from([column.heading for column in columns("Unit")]), CELLS, max_size=4)
    )
    path = inspection_of(tmp_path, UNIT | {item: _cell(entry) for item, entry in unit.items()}, sheets)
    assert_whole(order([path], tmp_path / "order", replace=True), tmp_path / "order")


def test_the_same_input_gives_the_same_bytes(tmp_path: Path) -> None:
    words = {"Condition": "leaked; crust; bulging", "Hazards": "high voltage; hot"}
    sheets = {name: [{**good, **words} if name == "Capacitors" else good] for name, good in SHEETS.items()}
    path = inspection_of(tmp_path, UNIT, sheets)
    made = []
    for seed in ("0", "1"):
        out = tmp_path / "order"
        command = [sys.executable, "-m", "recap", "order", str(path), "--out", str(out), "--json"]
        ended = subprocess.run(command, capture_output=True, env={**os.environ, "PYTHONHASHSEED": seed}, check=True)
        texts = {file.name: file.read_bytes() for file in out.rglob("*") if file.suffix != ".xlsx" and file.is_file()}
        made.append((ended.stdout, texts))
    assert made[0] == made[1]


def test_exit_codes_of_what_cannot_be(tmp_path: Path) -> None:
    bad = write_csv(tmp_path / "list.csv", "Board;Ref;Value\nPSU;C1;nan\n;C2;1\n")
    out = str(tmp_path / "order")
    assert recap("order", str(bad), "--out", out).code == 0
    assert recap("order", str(bad)).code == 2
    assert recap("order", str(bad), "--out", out, "--strict").code == 1
    assert recap("order", str(tmp_path / "none.csv"), "--out", out).code == 3
    assert recap("order", str(bad), "--out", out, "--policy", "nonsense").code == 3
