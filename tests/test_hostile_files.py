"""Broken and hostile files at every door: as an inspection, as a catalogue, as a filled work order."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
from command_line import recap
from inspection_files import write_csv, write_sheets
from openpyxl import load_workbook
from test_read_files import ODD, SHEET, SPREADSHEET, _member, _odd_files, _workbook

from recap.bench.bring_up_fields import WORK_ORDER
from recap.bench.filled import COLUMNS_MARK, FIELD_MARK, read_filled
from recap.intake import read_inspection
from recap.parts.reading import read_catalogues
from recap.problems import Problem, UnreadableFile

HEADINGS = ["Order code", "Capacitance", "Voltage"]
DOORS = {
    "inspection": lambda path: read_inspection([path]),
    "catalogue": lambda path: read_catalogues([path], cache=False),
    "work order": read_filled,
}


@pytest.fixture(scope="module")
def odd_files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Path, str]]:
    return _odd_files(tmp_path_factory.mktemp("odd"))


@pytest.mark.parametrize("door", ["catalogue", "work order"])
@pytest.mark.parametrize("name", ODD)
def test_what_no_inspection_can_be_is_refused_at_every_door(
    odd_files: dict[str, tuple[Path, str]], name: str, door: str
) -> None:
    path, words = odd_files[name]
    with pytest.raises(UnreadableFile) as raised:
        DOORS[door](path)
    assert words in str(raised.value)
    assert str(path) in str(raised.value)


def test_a_list_of_sheets_that_would_fill_the_memory_is_not_opened(tmp_path: Path) -> None:
    for part in ("xl/workbook.xml", "xl/_rels/workbook.xml.rels"):
        path = _member(_workbook(tmp_path / "deep.xlsx"), part, b"<a>" * 1_000_000)
        for door in DOORS.values():
            with pytest.raises(UnreadableFile, match="list of sheets is longer than any"):
                door(path)


def test_cells_without_any_name_count_as_well(tmp_path: Path) -> None:
    row = b'<row r="%d">' + b"<c><v>1</v></c>" * 60 + b"</row>"
    rows = b"".join(row % number for number in range(1, 80_000))
    path = _member(_workbook(tmp_path / "cells.xlsx"), SHEET, SPREADSHEET % rows)
    with pytest.raises(UnreadableFile, match="cells do not say where they stand"):
        read_inspection([path])


def test_pipes_and_devices_are_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    for path in (tmp_path / "pipe.csv", Path("/dev/zero")):
        for door in DOORS.values():
            with pytest.raises(UnreadableFile, match="a device or a pipe"):
                door(path)


@pytest.mark.parametrize("rest", ["utf-16-le", "utf-16-be"])
def test_lines_of_utf16_among_others_are_named(tmp_path: Path, rest: str) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes("Ref,Order code,Value,Volts\nC1,A1,4.7 µF,16\n".encode("cp1252") + "C2,A2,10,16\n".encode(rest))
    for door in (DOORS["inspection"], DOORS["catalogue"]):
        with pytest.raises(UnreadableFile, match="some of its lines are UTF-16"):
            door(path)


def test_a_text_that_is_no_list_ends_with_3(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "letter.md", "# A letter\n\nWith some lines, and more.\nNothing else.\n")
    for command in (("read", str(path)), ("order", str(path), "--out", str(tmp_path / "order"))):
        ended = recap(*command)
        assert ended.code == 3
        assert f"{path}: this is no list of capacitors: no row of headings was found" in ended.err
    assert not (tmp_path / "order").exists()


def _found(problems: list[Problem]) -> list[tuple[str, str]]:
    return [(problem.code, problem.location.cell) for problem in problems]


class TestCatalogues:
    def test_formulas_and_errors_are_said(self, tmp_path: Path) -> None:
        rows = [HEADINGS, ["A1", "=50+50", 16], ["A2", 100, "#N/A"], *(["A3", "=1", 16] for _ in range(25))]
        path = write_sheets(tmp_path / "parts.xlsx", {"Parts": rows})
        book = load_workbook(path)
        book["Parts"]["C3"].data_type = "e"
        book.save(path)
        catalogue, problems = DOORS["catalogue"](path)
        assert len(catalogue) == 27
        found = _found(problems)
        assert found[:2] == [("not-calculated", "B2"), ("error-cell", "C3")]
        assert "7 more cells" in next(problem.message for problem in problems if "more cells" in problem.message)

    def test_one_endless_cell(self, tmp_path: Path) -> None:
        path = write_csv(tmp_path / "parts.csv", "Order code,Capacitance,Voltage\n" + "[" * 300_000)
        with pytest.raises(UnreadableFile, match="field larger than field limit"):
            DOORS["catalogue"](path)

    def test_an_untidy_table_of_very_many_columns(self, tmp_path: Path) -> None:
        text = "Order code,Capacitance,Voltage\nA1,1uF,5\nA2" + "," * 5000 + "\n"
        with pytest.raises(UnreadableFile, match="row 3 has 5,001 columns"):
            DOORS["catalogue"](write_csv(tmp_path / "parts.csv", text))


class TestWorkOrders:
    def filled(self, tmp_path: Path, entry: Any) -> Path:
        rows = [
            [FIELD_MARK + "board", None, "PSU"],
            [FIELD_MARK + "document", None, WORK_ORDER],
            [COLUMNS_MARK, None, "esr_ohm"],
            [None, "Position", "ESR"],
            ["Wether/PSU/C1", "C1", entry],
            ["Wether/PSU/C2", "C2", 0.5],
        ]
        return write_sheets(tmp_path / "work.xlsx", {"Readings": rows})

    def test_a_formula_is_no_blank(self, tmp_path: Path) -> None:
        filled = read_filled(self.filled(tmp_path, "=0.1+0.2"))
        assert filled.positions == {"Wether/PSU/C2": {"esr_ohm": 0.5}}
        assert _found(filled.problems) == [("not-calculated", "C5")]

    def test_an_error_value_is_no_reading(self, tmp_path: Path) -> None:
        path = self.filled(tmp_path, "#DIV/0!")
        book = load_workbook(path)
        book["Readings"]["C5"].data_type = "e"
        book.save(path)
        filled = read_filled(path)
        assert "Wether/PSU/C1" not in filled.positions
        assert _found(filled.problems) == [("error-cell", "C5")]

    def test_hidden_rows_are_read_and_said(self, tmp_path: Path) -> None:
        path = self.filled(tmp_path, 0.1)
        book = load_workbook(path)
        for row in (3, 5):  # the first of them is the form's own
            book["Readings"].row_dimensions[row].hidden = True
        book.save(path)
        filled = read_filled(path)
        assert filled.positions["Wether/PSU/C1"] == {"esr_ohm": 0.1}
        assert _found(filled.problems) == [("hidden-rows", "A5")]
