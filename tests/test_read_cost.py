"""What one file may cost: hostile ones ask for no more work than plain ones of their size, and say where they stop."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from itertools import chain, permutations
from pathlib import Path

import pytest
from inspection_files import codes, read_text, rows_accounted, write_csv, write_sheets
from openpyxl import load_workbook

from recap.intake import effort, read_inspection
from recap.problems import UnreadableFile

ROWS = 20_000
HEADINGS = "Ref;Value;Volts;Dia;Note"


def _lines(rows: Iterable[str], headings: str = HEADINGS) -> str:
    return "\n".join(chain([headings], rows)) + "\n"


def _digits(number: int, count: int = 150) -> str:
    """Return digits that are different for every number."""
    return str(pow(7, number + 200, 10**count) + 10**count)


def _plain(row: int) -> str:
    return f"C{row};{(10, 22, 47, 100)[row % 4]}u;{(16, 25)[row % 2]};8;"


HOSTILE: dict[str, Callable[[], str]] = {
    "long numbers": lambda: _lines(f"C{n};{_digits(n)};{_digits(n, 60)};{_digits(n, 40)};" for n in range(ROWS)),
    "long designators": lambda: _lines(f"C{_digits(n)};100;16;8;" for n in range(ROWS)),
    "different values": lambda: _lines(f"C{n};{n};{n};{n};" for n in range(ROWS)),
    "mixtures": lambda: _lines(f"C{n};{'4u7/16V 85C C1-C4 + ' * 8}{n};16;8;" for n in range(ROWS)),
    "sums": lambda: _lines(f"C{n};{'+'.join([str(n)] * 90)};16;8;" for n in range(ROWS)),
    "ranges": lambda: _lines(f"C{n}00-C{n}99;1;16;8;" for n in range(ROWS)),
    "lists of designators": lambda: _lines(
        f"{' '.join(f'C{n}_{part}' for part in range(80))};1;16;8;" for n in range(2000)
    ),
    "spaces": lambda: _lines(f"C{n};1{' ' * 150}{n};16;{'(' * 70}{n};" for n in range(ROWS)),
    "headings again": lambda: _lines([HEADINGS] * ROWS),
    "every board unknown": lambda: _lines((f"B{n % 990};C{n};1;16" for n in range(ROWS)), "Board;Ref;Value;Volts"),
}


def _cost(path: Path) -> float:
    started = time.process_time()
    read_inspection([path])
    return time.process_time() - started


@pytest.fixture(scope="module")
def plain_cost(tmp_path_factory: pytest.TempPathFactory) -> float:
    path = write_csv(tmp_path_factory.mktemp("plain") / "list.csv", _lines(map(_plain, range(ROWS))))
    return min(_cost(path) for _ in range(2))


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_costs_little_more_than_a_plain_list(tmp_path: Path, name: str, plain_cost: float) -> None:
    path = write_csv(tmp_path / "list.csv", HOSTILE[name]())
    # Two plain lists of as many rows, and what the markings of one file may cost at most.
    assert _cost(path) < 2 * plain_cost + 2


def test_where_markings_become_too_many_is_said_and_no_row_is_lost(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(effort.Effort.__init__, "__defaults__", (50,))
    rows = (f"C{n};{n}u;16;8;" for n in range(1, 10))
    inspection, problems = read_text(tmp_path, _lines([*rows, "C20;1u;16;8;", "near relay 2;1u;16;8;"]))
    assert len(inspection.positions) == 11
    found = [problem for problem in problems if problem.code == "too-many-markings"]
    assert [(problem.location.cell, problem.value) for problem in found] == [("B5", "4u"), ("A12", "near relay 2")]
    read = {item.key.designator: item.capacitance_f for item in inspection.positions}
    assert (read["C1"], read["C9"], read["C20"]) == (pytest.approx(1e-6), None, pytest.approx(1e-6))
    assert "near relay 2" in read
    assert rows_accounted(inspection)


def test_each_file_of_a_job_has_its_own_measure(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(effort.Effort.__init__, "__defaults__", (30,))
    texts = (_lines([f"C{first + n};{first + n}u;;;" for n in range(2)]) for first in (1, 5))
    paths = [write_csv(tmp_path / f"{number}.csv", text) for number, text in enumerate(texts)]
    inspection, problems = read_inspection(paths)
    assert "too-many-markings" not in codes(problems)
    assert all(item.capacitance_f for item in inspection.positions)


def test_more_boards_than_any_machine_has_are_refused(tmp_path: Path) -> None:
    rows = (f"B{n};C{n};1" for n in range(1100))
    with pytest.raises(UnreadableFile, match=r"list\.csv:B1002: more than 1,000 different boards"):
        read_text(tmp_path, _lines(rows, "Board;Ref;Value"))


@pytest.mark.parametrize("sheet", ["Boards", "Rails"])
def test_so_are_those_of_their_own_sheets(tmp_path: Path, sheet: str) -> None:
    heading = {"Boards": ["Board", "Height limit mm"], "Rails": ["Rail", "Nominal V"]}[sheet]
    rows = [heading, *([f"name {n}", 20] for n in range(1001))]
    path = write_sheets(tmp_path / "list.xlsx", {sheet: rows, "Capacitors": [["Board", "Designator"], ["A", "C1"]]})
    with pytest.raises(UnreadableFile, match=rf"{sheet}!A1002: more than 1,000 different"):
        read_inspection([path])


def test_a_sheet_of_unknown_columns_is_refused(tmp_path: Path) -> None:
    text = "Ref;Value;" + ";".join(f"x{n}" for n in range(400)) + "\nC1;1\n"
    with pytest.raises(UnreadableFile, match="400 columns whose headings are not known"):
        read_text(tmp_path, text)


def test_a_sheet_of_tables_is_refused(tmp_path: Path) -> None:
    headings = permutations(("Ref", "Value", "Volts", "Dia", "Height", "Note"))
    with pytest.raises(UnreadableFile, match="more than 200 tables in one sheet"):
        read_text(tmp_path, "\n".join(";".join(row) for row in headings) + "\n")


def test_tables_that_alternate_are_read_by_their_own_headings(tmp_path: Path) -> None:
    one, other = "Ref;Value;Volts", "Volts;Ref;Value"
    text = "\n".join([one, "C1;10u;16", other, "25;C2;22u", one, "C3;47u;50", other, "63;C4;1u\n"])
    inspection, problems = read_text(tmp_path, text)
    assert [item.rated_voltage_v for item in inspection.positions] == [16, 25, 50, 63]
    assert codes(problems).count("headings-again") == 3
    assert rows_accounted(inspection)


def test_merged_cells_over_one_another_cost_no_more_than_their_rows(tmp_path: Path) -> None:
    rows = [["Board", "Ref", "Value"], ["PSU", "C1", 1], *([None, f"C{n}", 1] for n in range(2, 3000))]
    path = write_sheets(tmp_path / "list.xlsx", {"Main": rows})
    book = load_workbook(path)
    for last in range(3, 3000):
        book["Main"].merged_cells.add(f"A2:A{last}")
    book.save(path)
    started = time.process_time()
    inspection, _ = read_inspection([path])
    assert time.process_time() - started < 2
    assert {item.key.board for item in inspection.positions} == {"PSU"}
    assert rows_accounted(inspection)
