"""Small inspection files for tests, written the way a test reads them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from recap.intake import read_inspection
from recap.model import Inspection, Position
from recap.outputs.blank_form import blank_form
from recap.problems import Problem


def write_csv(path: Path, text: str, encoding: str = "utf-8") -> Path:
    """Write a text table."""
    path.write_bytes(text.encode(encoding))
    return path


def write_sheets(path: Path, sheets: Mapping[str, Iterable[Sequence[Any]]]) -> Path:
    """Write a workbook of plain sheets."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    book.save(path)
    return path


def write_form(path: Path, entries: Mapping[str, Sequence[Mapping[str, Any]]]) -> Path:
    """Write the blank form, filled in from the row below the example; the Unit sheet by item."""
    book = blank_form()
    for name, rows in entries.items():
        sheet = book[name]
        if name == "Unit":
            places = {str(sheet.cell(row, 1).value): row for row in range(1, sheet.max_row + 1)}
            for item, entry in rows[0].items():
                sheet.cell(places[item], 2).value = entry
            continue
        columns = {str(cell.value): cell.column for cell in sheet[1]}
        for number, row in enumerate(rows, start=3):
            for heading, value in row.items():
                sheet.cell(number, columns[heading]).value = value
    book.save(path)
    return path


def read_text(tmp_path: Path, text: str, **how: Any) -> tuple[Inspection, list[Problem]]:
    """Read a csv given as text."""
    return read_inspection([write_csv(tmp_path / "list.csv", text, how.pop("encoding", "utf-8"))], **how)


def positions_by_name(inspection: Inspection) -> dict[str, Position]:
    """Return positions by designator and section."""
    return {"/".join(filter(None, item.key[2:])): item for item in inspection.positions}


def codes(problems: Iterable[Problem]) -> list[str]:
    """Return the problems' codes."""
    return [problem.code for problem in problems]


def rows_accounted(inspection: Inspection) -> bool:
    """Whether every row gave a position, is left out, or is blank."""
    with_positions = {
        (item.location.file, item.location.sheet, item.location.cell.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
        for item in inspection.positions
    }
    return len(with_positions) + len(inspection.left_out) + inspection.blank_rows == inspection.rows_in
