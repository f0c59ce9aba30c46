"""The empty inspection workbook: headings, notes and drop-downs as data/tables/columns.csv defines them."""

from __future__ import annotations

import os
from collections.abc import Sequence
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.header_footer import _HeaderFooterPart as HeaderFooterPart
from openpyxl.worksheet.properties import Outline, PageSetupProperties

from recap.model import Basis
from recap.model.lists import CLOSED_LISTS
from recap.outputs.readme_sheet import write_readme
from recap.outputs.sheets import BAND_FILL, BOX, ENTRY_FILL, HEAD_FILL, new_book
from recap.problems import RecapError
from recap.ruledata import Row, table

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.cell.cell import Cell, MergedCell
    from openpyxl.worksheet.worksheet import Worksheet

LAST_ROW = 2000
"""Down to this row the drop-downs reach."""

FONT = "Calibri"
HEAD_FONT = Font(name=FONT, bold=True, color="FFFFFF")
GROUP_FONT = Font(name=FONT, italic=True, color="5C5748")
EXAMPLE_FONT = Font(name=FONT, italic=True, color="8A8578")
ENTRY_FONT = Font(name=FONT)
ASSUMED_FONT = Font(name=FONT, italic=True, color="8A6D1A")
EXAMPLE_FILL = PatternFill("solid", fgColor="F4F2EC")
NUMBERS_RIGHT = ("number", "integer", "capacitance", "voltage", "size", "length", "spacing", "tolerance",
                 "temperature", "endurance")  # fmt: skip
GROUP_WIDTH = 4.3
TEXT, GENERAL = "@", "General"


def blank_form() -> Workbook:
    """Return the empty inspection workbook."""
    book = new_book()
    _unit_sheet(book.create_sheet("Unit"))
    for name, frozen in (("Boards", "B2"), ("Rails", "B2"), ("Capacitors", "C2")):
        sheet = book.create_sheet(name)
        _table_sheet(sheet, _columns(name))
        sheet.freeze_panes = frozen
    write_readme(book.create_sheet("Read-me"))
    for sheet in book.worksheets:
        _for_paper(sheet)
    return book


def blank(path: str | Path, *, replace: bool = False, record: str | Path | None = None) -> Path:
    """Write the empty inspection workbook and return its path; with a record, what an earlier job knew is filled in.

    Raises RecapError when a file of that name is there and `replace` is not given, or when it cannot be
    written; an older file then stays as it was. Raises UnreadableFile for a record that is none.
    """
    path = Path(path)
    if path.suffix.lower() != ".xlsx":
        raise RecapError(f"{path}: the workbook's name must end in .xlsx")
    if path.exists() and not replace:
        raise RecapError(f"{path} is there already and may hold your entries; give another name, or --replace")
    book = blank_form()
    if record is not None:
        from recap.outputs.filled_form import fill_from_record
        from recap.outputs.record import read_record

        fill_from_record(book, read_record(record))
    aside = path.with_name(f".{path.name}.new")
    try:
        book.save(aside)
        os.replace(aside, path)
    except OSError as error:
        aside.unlink(missing_ok=True)
        raise RecapError(f"{path} cannot be written ({error.strerror})") from None
    return path


def _columns(sheet: str) -> list[Row]:
    return [row for row in table("columns") if row["sheet"] == sheet and row["group"] != "plain lists only"]


def _table_sheet(sheet: Worksheet, columns: Sequence[Row]) -> None:
    """Lay out a sheet with one row an entry: essentials first, then each group folded behind its name."""
    sheet.sheet_properties.outlinePr = Outline(summaryRight=False)
    sheet.row_dimensions[1].height = 33
    sheet.row_dimensions[2].height = 18
    place = 0
    for group, members in groupby(columns, key=lambda row: row["group"]):
        if group != "essential":
            place += 1
            _group_column(sheet, place, group)
        for column in members:
            place += 1
            _column(sheet, place, column)
            if group != "essential":
                dimension = sheet.column_dimensions[get_column_letter(place)]
                dimension.outlineLevel = 1
                dimension.hidden = True
    sheet.print_title_rows = "1:1"


def _column(sheet: Worksheet, place: int, column: Row) -> None:
    letter = get_column_letter(place)
    right = column["reads"] in NUMBERS_RIGHT
    number_format = GENERAL if column["format"] == "number" else TEXT
    alignment = Alignment(horizontal="right" if right else "left", vertical="top", indent=1)
    dimension = sheet.column_dimensions[letter]
    dimension.width = max(float(column["width"] or 14), 4 + max(map(len, column["heading"].split())))
    dimension.number_format = number_format
    dimension.alignment = alignment
    dimension.font = ENTRY_FONT
    _head(sheet.cell(1, place), column["heading"], column)
    example = sheet.cell(2, place, column["example"])
    example.number_format, example.alignment = number_format, alignment
    example.font, example.fill, example.border = EXAMPLE_FONT, EXAMPLE_FILL, _UNDER
    _choices(sheet, f"{letter}3:{letter}{LAST_ROW}", column)


def _group_column(sheet: Worksheet, place: int, group: str) -> None:
    """Write the narrow column that names a folded group and carries its fold mark."""
    dimension = sheet.column_dimensions[get_column_letter(place)]
    dimension.width = GROUP_WIDTH
    dimension.fill = BAND_FILL
    dimension.collapsed = True
    head = sheet.cell(1, place, f"{group} …")
    head.font, head.fill = GROUP_FONT, BAND_FILL
    head.alignment = Alignment(text_rotation=90, horizontal="center", vertical="bottom")
    head.comment = _note(f"Folded columns: {group}. Open them with the + above, or leave them closed.")
    sheet.cell(2, place).fill = BAND_FILL
    sheet.row_dimensions[1].height = max(sheet.row_dimensions[1].height or 0, 18 + 5.4 * len(group))


def _head(cell: Cell | MergedCell, text: str, column: Row) -> None:
    cell.value = text
    cell.font, cell.fill, cell.border = HEAD_FONT, HEAD_FILL, BOX
    cell.alignment = Alignment(wrap_text=True, vertical="bottom", horizontal="left", indent=1)
    if column["note"]:
        cell.comment = _note(column["note"])


def _choices(sheet: Worksheet, cells: str, column: Row) -> None:
    """Offer the words of a closed list, or the names given on another sheet."""
    several = column["reads"] == "choices"
    if column["list"]:
        words = ",".join(CLOSED_LISTS[column["list"]])
        choice = DataValidation(type="list", formula1=f'"{words}"', allow_blank=True)
        choice.errorStyle = "warning"
        choice.errorTitle = "Not in the list"
        choice.error = "The word is not in the list. A common other word may still be understood."
        choice.showErrorMessage = not several
        if several:
            choice.promptTitle = "Several may apply"
            choice.prompt = "Pick one, or write several with commas between them."
            choice.showInputMessage = True
    elif column["field"] in _NAMES_FROM and column["sheet"] != "Boards":
        choice = DataValidation(type="list", formula1=_NAMES_FROM[column["field"]], allow_blank=True)
        choice.showErrorMessage = False
    else:
        return
    choice.add(cells)
    sheet.add_data_validation(choice)


_NAMES_FROM = {
    "key.board": f"Boards!$A$3:$A${LAST_ROW}",
    "made_on": f"Boards!$A$3:$A${LAST_ROW}",
    "rail": f"Rails!$A$3:$A${LAST_ROW}",
}
_UNDER = Border(bottom=Side(style="thin", color="C9C4B5"))


def _unit_sheet(sheet: Worksheet) -> None:
    """Lay out the Unit sheet: one row an item, with its entry and where that comes from."""
    for place, (heading, width) in enumerate(
        (("Item", 28), ("Entry", 30), ("Basis", 14), ("What it is for", 74)), start=1
    ):
        sheet.column_dimensions[get_column_letter(place)].width = width
        head = sheet.cell(1, place, heading)
        head.font, head.fill, head.border = HEAD_FONT, HEAD_FILL, BOX
        head.alignment = Alignment(vertical="center", indent=1)
    sheet.row_dimensions[1].height = 24
    sheet.row_dimensions[2].height = 19
    columns = _columns("Unit")
    example = (
        "(example) Name",
        columns[0]["example"],
        str(Basis.MARKED),
        "How an entry looks; this row is passed over.",
    )
    for place, text in enumerate(example, start=1):
        cell = sheet.cell(2, place, text)
        cell.font, cell.fill, cell.border = EXAMPLE_FONT, EXAMPLE_FILL, _UNDER
        cell.alignment = Alignment(vertical="center", indent=1)
    for row, column in enumerate(columns, start=3):
        _unit_row(sheet, row, column)
    basis = DataValidation(type="list", formula1=f'"{",".join(Basis)}"', allow_blank=True)
    basis.showErrorMessage = False
    basis.add(f"C3:C{len(columns) + 2}")
    sheet.add_data_validation(basis)
    sheet.freeze_panes = "B2"


def _unit_row(sheet: Worksheet, row: int, column: Row) -> None:
    cells = [sheet.cell(row, place) for place in range(1, 5)]
    item, entry, basis, use = cells
    item.value, item.font = column["heading"], Font(name=FONT, bold=True)
    entry.number_format = TEXT
    entry.fill = ENTRY_FILL
    if column["default"]:
        entry.value = column["default"]
        basis.value = str(Basis.ASSUMED)
    entry.font = basis.font = ASSUMED_FONT if column["default"] else ENTRY_FONT
    use.value, use.font = column["note"], Font(name=FONT, color="5C5748")
    for cell in cells:
        cell.border = _UNDER
        cell.alignment = Alignment(vertical="center", wrap_text=True, indent=1)
    sheet.row_dimensions[row].height = 64 if column["field"] == "notes" else 33 if len(column["note"]) > 90 else 19
    if column["list"]:
        _choices(sheet, f"B{row}", column)


def _note(text: str) -> Comment:
    note = Comment(text, "recap")
    note.width = 250
    note.height = 26 + 18 * (1 + len(text) // 38)
    return note


def _for_paper(sheet: Worksheet) -> None:
    sheet.page_setup.orientation = "portrait" if sheet.title == "Read-me" else "landscape"
    sheet.page_setup.paperSize = 9
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_margins.left = sheet.page_margins.right = 0.4
    sheet.oddFooter.center = HeaderFooterPart(text="&A, page &P of &N")  # type: ignore[union-attr]
