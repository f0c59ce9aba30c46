"""Makes examples/inspection.xlsx: a blank form filled in with examples/source/*.csv.

Run `python tests/make_example.py` after a change to the source or to the form; a test compares the two.
"""

from __future__ import annotations

import csv
from copy import copy
from pathlib import Path
from typing import TYPE_CHECKING

from openpyxl.utils import get_column_letter

from recap.outputs.blank_form import blank_form

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.cell.cell import Cell
    from openpyxl.worksheet.worksheet import Worksheet

EXAMPLES = Path(__file__).parent.parent / "examples"
SOURCE = EXAMPLES / "source"
WORKBOOK = EXAMPLES / "inspection.xlsx"
FIRST_ENTRY_ROW = 3
"""Below the headings and the form's own example row."""


def example_workbook() -> Workbook:
    """Return the blank form with the example's entries in it."""
    book = blank_form()
    _fill_unit(book["Unit"], source("unit"))
    for name in ("Boards", "Rails", "Capacitors"):
        _fill_table(book[name], source(name.lower()))
    return book


def source(name: str) -> list[dict[str, str]]:
    """Return the rows of one source file, keyed by heading."""
    with (SOURCE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _fill_unit(sheet: Worksheet, entries: list[dict[str, str]]) -> None:
    rows = {str(cell.value): cell.row for cell in sheet["A"]}
    for entry in entries:
        row = rows[entry["Item"]]
        sheet.cell(row, 2).value = entry["Entry"]
        sheet.cell(row, 3).value = entry["Basis"] or None
        for place in (2, 3):
            sheet.cell(row, place).font = copy(sheet.cell(rows["Name"], place).font)
        lines = 1 + len(entry["Entry"]) // int(sheet.column_dimensions["B"].width)
        sheet.row_dimensions[row].height = max(sheet.row_dimensions[row].height, 15 * lines)


def _fill_table(sheet: Worksheet, entries: list[dict[str, str]]) -> None:
    places = {str(cell.value): cell.column for cell in sheet[1]}
    for heading in entries[0]:
        if heading not in places:
            places[heading] = _own_column(sheet, heading)
    for row, entry in enumerate(entries, start=FIRST_ENTRY_ROW):
        for heading, text in entry.items():
            if text:
                _enter(sheet.cell(row, places[heading]), text, sheet.cell(FIRST_ENTRY_ROW - 1, places[heading]))
    _unfold(sheet)


def _enter(cell: Cell, text: str, pattern: Cell) -> None:
    """Type a text into a cell as a spreadsheet program would: plain numbers become numbers unless the cell is text."""
    cell.number_format = pattern.number_format
    cell.alignment = copy(pattern.alignment)
    cell.value = text if pattern.number_format == "@" else _number_or_text(text)


def _number_or_text(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def _own_column(sheet: Worksheet, heading: str) -> int:
    """Add a column of the owner's own at the right."""
    place = sheet.max_column + 1
    head, neighbour = sheet.cell(1, place, heading), sheet.cell(1, place - 1)
    head.font, head.fill, head.border = copy(neighbour.font), copy(neighbour.fill), copy(neighbour.border)
    head.alignment = copy(neighbour.alignment)
    sheet.cell(FIRST_ENTRY_ROW - 1, place).number_format = "@"
    return place


def _unfold(sheet: Worksheet) -> None:
    """Open the folded groups, as somebody who has filled them in leaves them."""
    for place in range(1, sheet.max_column + 1):
        dimension = sheet.column_dimensions[get_column_letter(place)]
        dimension.hidden = dimension.collapsed = False
    if sheet.max_column > 20:
        sheet.page_setup.fitToWidth = 4
        sheet.print_title_cols = "A:B"


if __name__ == "__main__":
    example_workbook().save(WORKBOOK)
