"""Worksheets to fill in: the fields of work orders and bring-ups, named for the program that reads them back.

Column A is hidden and names each row: a position's key, or the name of a field; the hidden row above the headings
names the fields of the columns. A hidden sheet carries what a sign-off expects.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from openpyxl.styles import Font
from openpyxl.worksheet.datavalidation import DataValidation

from recap.bench.filled import COLUMNS_MARK, EXPECTED_MARK, FIELD_MARK
from recap.bench.work_fields import FieldKind, WorkField
from recap.outputs import sheets

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

_LINE_LETTERS = 170
_PIECE_LETTERS = 30_000
"""A cell holds 32,767 letters at most."""


def sheet(book: Workbook, title: str, sizes: Sequence[float]) -> Worksheet:
    """Add a sheet whose column A is for the program; `sizes` are the widths from column B on."""
    page = sheets.add_sheet(book, title)
    sheets.widths(page, (4, *sizes))
    page.column_dimensions["A"].hidden = True
    return page


def title(page: Worksheet, cell: str, text: str, size: int = 14) -> None:
    """Write a title that may run over the cells beside it."""
    sheets.put(page[cell], text).font = Font(name="Calibri", bold=True, size=size)
    page[cell].alignment = sheets.ONE_LINE


def named(page: Worksheet, row: int, name: str, label: str, value: str) -> int:
    """Write one field of the whole document; return the next row."""
    sheets.put(page.cell(row, 1), FIELD_MARK + name)
    sheets.put(page.cell(row, 2), label).font = Font(name="Calibri", bold=True)
    sheets.put(page.cell(row, 3), value).border = sheets.BOX
    return row + 1


def lines(page: Worksheet, row: int, title: str, texts: Sequence[str]) -> int:
    """Write sentences below a title, broken so that none runs off the paper; return the next row."""
    if not texts:
        return row
    sheets.put(page.cell(row, 2), title).font = Font(name="Calibri", bold=True)
    found = broken(texts)
    for offset, text in enumerate(found, start=1):
        sheets.put(page.cell(row + offset, 2), text).alignment = sheets.ONE_LINE
    return row + len(found) + 1


def broken(texts: Sequence[str]) -> list[str]:
    """Return sentences in lines that a sheet's width holds."""
    return [line for text in texts for line in wrap(text, _LINE_LETTERS, subsequent_indent="    ")]


def columns(page: Worksheet, row: int, titles: Sequence[str], fields: Sequence[WorkField]) -> None:
    """Write a hidden row that names the fields, and below it the row of headings."""
    sheets.put(page.cell(row, 1), COLUMNS_MARK)
    for column, field in enumerate(fields, start=len(titles) + 2):
        sheets.put(page.cell(row, column), field.id)
    page.row_dimensions[row].hidden = True
    sheets.head(page, row + 1, (*titles, *(_heading(field) for field in fields)), column=2)


def _heading(field: WorkField) -> str:
    unit = f" {field.unit}" if field.unit else ""
    return f"{field.group}: {field.label}{unit}" if field.group else f"{field.label}{unit}"


def row(
    page: Worksheet,
    row: int,
    key: str,
    cells: Sequence[str | int],
    fields: Sequence[WorkField],
    needed: Sequence[WorkField],
) -> None:
    """Write one row: its key, its cells, and the boxes to fill in; those that it does not need are hatched."""
    sheets.put(page.cell(row, 1), key)
    sheets.rows(page, row, (cells,), column=2)
    for column, field in enumerate(fields, start=len(cells) + 2):
        cell = page.cell(row, column)
        cell.border = sheets.BOX
        cell.alignment = sheets.WRAP
        cell.fill = sheets.ENTRY_FILL if field in needed else sheets.NOT_NEEDED_FILL
        if field.kind is FieldKind.READING:
            cell.number_format = "0.####"


def validate(page: Worksheet, first: int, count: int, column: int, fields: Sequence[WorkField]) -> None:
    """Offer the choices of the fields, and warn of what is no number."""
    if count == 0:
        return
    for place_, field in enumerate(fields, start=column):
        rule = _validation(field)
        if rule is None:
            continue
        page.add_data_validation(rule)
        rule.add(f"{page.cell(first, place_).coordinate}:{page.cell(first + count - 1, place_).coordinate}")


def _validation(field: WorkField) -> DataValidation | None:
    if field.kind is FieldKind.TICK:
        rule = DataValidation(type="list", formula1='"yes"', allow_blank=True)
    elif field.kind is FieldKind.CHOICE:
        rule = DataValidation(type="list", formula1=f'"{",".join(field.choices)}"', allow_blank=True)
    elif field.kind is FieldKind.READING:
        lowest = "-100000" if field.unit == "V" else "0"
        rule = DataValidation(type="decimal", operator="greaterThanOrEqual", formula1=lowest, allow_blank=True)
        rule.errorStyle = "warning"
        rule.error = f"A number in {field.unit}. Keep the entry if it is meant, such as > 20."
    else:
        return None
    rule.promptTitle, rule.prompt = field.group or field.label, f"{field.label} {field.unit}".strip()
    rule.showErrorMessage = True
    return rule


def carry(book: Workbook, text: str, mark: str = EXPECTED_MARK) -> None:
    """Put what a program is to read again into a hidden sheet, such as what a sign-off expects."""
    page = book.create_sheet("recap")
    page.sheet_state = "hidden"
    for number, piece in enumerate(_pieces(text), start=1):
        sheets.put(page.cell(number, 1), mark)
        sheets.put(page.cell(number, 2), piece)


def _pieces(text: str) -> Iterator[str]:
    """Cut text so that no piece begins or ends with a space, which programs may drop."""
    while text:
        cut = _PIECE_LETTERS
        while cut < len(text) and (text[cut - 1].isspace() or text[cut].isspace()):
            cut -= 1
        yield text[:cut]
        text = text[cut:]
