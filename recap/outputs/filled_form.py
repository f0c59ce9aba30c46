"""The inspection workbook with what the record of an earlier job knows already filled in."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from openpyxl.utils import get_column_letter

from recap.model import Basis
from recap.outputs.record import record_sheets
from recap.outputs.sheets import clean
from recap.ruledata import table

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.cell.cell import Cell, MergedCell
    from openpyxl.worksheet.worksheet import Worksheet

_FIRST_ROW = 3
_NUMBERS = ("number", "integer", "capacitance", "voltage", "size", "length", "spacing", "temperature", "endurance")
_PLAIN = re.compile(r"[-+]?\d{1,15}(?:\.\d{1,15})?")
_UNIT, _BASIS_COLUMN = "Unit", 3


def fill_from_record(book: Workbook, record: Mapping[str, Any]) -> None:
    """Write the rows of a record into a blank form; headings that the form no longer has are passed over."""
    for name, rows in record_sheets(record).items():
        if name == _UNIT:
            _fill_unit(book[name], rows)
        elif name in book.sheetnames:
            _fill_table(book[name], rows)


def _fill_unit(sheet: Worksheet, rows: Sequence[Mapping[str, str]]) -> None:
    known = {heading: text for row in rows for heading, text in row.items()}
    for row in range(_FIRST_ROW, sheet.max_row + 1):
        text = known.get(str(sheet.cell(row, 1).value))
        if text:
            _put(sheet.cell(row, 2), text, number=False)
            sheet.cell(row, _BASIS_COLUMN).value = str(Basis.DOCUMENTED)


def _fill_table(sheet: Worksheet, rows: Sequence[Mapping[str, str]]) -> None:
    numbers = {row["heading"] for row in table("columns") if row["sheet"] == sheet.title and row["reads"] in _NUMBERS}
    places = {str(cell.value): cell.column for cell in sheet[1] if cell.value}
    for number, row in enumerate(rows, start=_FIRST_ROW):
        for heading, text in row.items():
            column = places.get(heading)
            if column is None:
                continue
            _put(sheet.cell(number, column), text, heading in numbers)
            sheet.column_dimensions[get_column_letter(column)].hidden = False


def _put(cell: Cell | MergedCell, text: str, number: bool) -> None:
    """Write a number as such, so that no thousands sign is guessed at; everything else stays text."""
    if number and _PLAIN.fullmatch(text):
        cell.value = float(text)
        cell.number_format = "General"
        return
    cell.value = clean(text)
    cell.data_type = "s"
    cell.number_format = "@"
