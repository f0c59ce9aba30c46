"""Worksheets that are pleasant to read, and text that stays text."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from openpyxl import Workbook
from openpyxl.cell.cell import MergedCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.header_footer import HeaderFooterItem, _HeaderFooterPart
from openpyxl.worksheet.properties import PageSetupProperties

if TYPE_CHECKING:
    from openpyxl.cell.cell import Cell
    from openpyxl.worksheet.worksheet import Worksheet

Value = str | int | float | bool | None

_FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_LONGEST = 32_767
_SHEET_NAME = re.compile(r"[\[\]:*?/\\]")

HEAD_FILL = PatternFill("solid", fgColor="333333")
BAND_FILL = PatternFill("solid", fgColor="E9E6DC")
ENTRY_FILL = PatternFill("solid", fgColor="FFF9DB")
NOT_NEEDED_FILL = PatternFill("lightUp", fgColor="999999")
THIN = Side(style="thin", color="999999")
BOX = Border(left=THIN, right=THIN, top=THIN, bottom=THIN)
WRAP = Alignment(wrap_text=True, vertical="top")
NUMBER = Alignment(horizontal="center", vertical="top")
ONE_LINE = Alignment(vertical="top")
UPRIGHT = Alignment(text_rotation=90, horizontal="center", vertical="bottom")
"""For the headings of narrow columns that are only ticked."""


def clean(text: str) -> str:
    """Return text without the characters that a worksheet cannot hold."""
    return _FORBIDDEN.sub("\ufffd", text)[:_LONGEST]


def put(cell: Cell | MergedCell, value: Value) -> Cell:
    """Write a value; text stays text, whatever it begins with."""
    assert not isinstance(cell, MergedCell), "no sheet of ours merges cells"
    if isinstance(value, str):
        text = clean(value)
        cell.value = text
        cell.data_type = "s"
        if text[:1] in "=+-@\t" and text:
            cell.quotePrefix = True
        cell.alignment = WRAP
    else:
        cell.value = value
        cell.alignment = NUMBER
    return cell


def add_sheet(book: Workbook, title: str) -> Worksheet:
    """Add a worksheet ready for paper: A4 landscape, one page wide."""
    sheet: Worksheet = book.create_sheet(_SHEET_NAME.sub(" ", title)[:31])
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = 9
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_margins.left = sheet.page_margins.right = 0.4
    sheet.page_margins.top = sheet.page_margins.bottom = 0.5
    sheet.oddFooter = HeaderFooterItem(center=_HeaderFooterPart("&A, page &P of &N"))
    sheet.sheet_view.showGridLines = False
    return sheet


def head(sheet: Worksheet, row: int, titles: Iterable[str], column: int = 1) -> None:
    """Write a row of headings."""
    for place, title in enumerate(titles, start=column):
        cell = put(sheet.cell(row, place), title)
        cell.font = Font(name="Calibri", bold=True, color="FFFFFF")
        cell.fill = HEAD_FILL
        cell.border = BOX


def rows(sheet: Worksheet, first: int, values: Iterable[Sequence[Value]], column: int = 1) -> int:
    """Write boxed rows; return the number of the row after the last."""
    row = first
    for items in values:
        for place, item in enumerate(items, start=column):
            put(sheet.cell(row, place), item).border = BOX
        row += 1
    return row


def widths(sheet: Worksheet, sizes: Sequence[float]) -> None:
    """Set the columns' widths in characters."""
    for column, size in enumerate(sizes, start=1):
        sheet.column_dimensions[get_column_letter(column)].width = size


def fit_rows(sheet: Worksheet, first: int, line_height: float = 14.5) -> None:
    """Give each row the height its longest wrapped text needs; programs do not agree on doing so by themselves."""
    for cells in sheet.iter_rows(min_row=first):
        lines = 1
        for cell in cells:
            column = sheet.column_dimensions[get_column_letter(cell.column or 1)]
            if isinstance(cell.value, str) and cell.alignment.wrap_text and not column.hidden:
                room = max(int(column.width * (0.8 if cell.font.bold else 0.95)), 1)
                lines = max(lines, sum(-(-max(len(part), 1) // room) for part in cell.value.split("\n")))
        sheet.row_dimensions[cells[0].row or 1].height = min(max(lines * line_height + 3, 17), 400)


def title(sheet: Worksheet, text: str, under: str = "") -> None:
    """Write the sheet's title in the first row and a line under it."""
    put(sheet["A1"], text).font = Font(name="Calibri", bold=True, size=14)
    sheet["A1"].alignment = Alignment(vertical="center")
    sheet.row_dimensions[1].height = 24
    if under:
        put(sheet["A2"], under).alignment = Alignment(vertical="top")


def new_book() -> Workbook:
    """Return an empty workbook without its first sheet."""
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.creator = "recap"
    return book
