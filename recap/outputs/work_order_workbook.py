"""The work order of one board as a workbook to fill in: the same fields as on the page.

Column A is hidden and names each row for the program that reads the filled workbook: a position's key, or the
name of a field; the hidden row above the headings names the fields of the columns.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from openpyxl.styles import Font
from openpyxl.worksheet.datavalidation import DataValidation

from recap.bench.filled import COLUMNS_MARK, FIELD_MARK
from recap.bench.work_fields import (
    AFTER,
    ALL_TICKS,
    BEFORE,
    BOARD_FIELDS,
    GOODS_IN,
    REMARKS,
    RESULT,
    STOP_FIELDS,
    FieldKind,
    WorkField,
)
from recap.outputs import sheets
from recap.outputs.page import MAKE_SAFE
from recap.outputs.steps import Step, board_notes, step, steps
from recap.outputs.words import old_part, place, why

if TYPE_CHECKING:
    from collections.abc import Sequence

    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

    from recap.model import BoardWork, Plan

_READINGS = (*BEFORE, *GOODS_IN, *AFTER)


def write_work_order_workbook(plan: Plan, work: BoardWork, digest: str, path: Path) -> None:
    """Write the workbook of one board."""
    book = sheets.new_book()
    board_steps = steps(plan, work)
    _start(book, plan, work, digest)
    _steps(book, board_steps)
    _readings(book, board_steps)
    _left_alone(book, work)
    book.save(path)


def _start(book: Workbook, plan: Plan, work: BoardWork, digest: str) -> None:
    sheet = _sheet(book, "Stop list", (18, 34, 60, 46, 12, 46))
    sheets.put(sheet["B1"], f"Work order: {work.board}").font = Font(name="Calibri", bold=True, size=14)
    sheet["B1"].alignment = sheets.ONE_LINE
    facts = (("unit", "Unit", work.unit), ("board", "Board", work.board), ("plan", "Plan", digest))
    row = 2
    for name, label, value in facts:
        row = _named(sheet, row, name, label, value)
    for field in BOARD_FIELDS:
        row = _named(sheet, row, field.id, field.label, "")
        sheet.cell(row - 1, 3).fill = sheets.ENTRY_FILL
    board = plan.inspection.unit(work.unit).board(work.board)
    row = _lines(sheet, row + 1, "Before you touch it", MAKE_SAFE)
    row = _lines(sheet, row + 1, "This board", board_notes(board))
    sheets.put(sheet.cell(row + 1, 2), "Stop: settle these first").font = Font(name="Calibri", bold=True, size=13)
    sheet.cell(row + 1, 2).alignment = sheets.ONE_LINE
    row += 2
    titles = ("Position", "Where", "What must be settled", "Is there now")
    _columns(sheet, row, titles, STOP_FIELDS)
    first = row + 2
    stops = [step(plan, judgement) for judgement in work.stops]
    for item in stops:
        texts = (*(item.judgement.stops or (item.why,)), *(f"Danger: {text}" for text in item.hazards))
        cells = (item.place, item.where, "\n".join(texts), item.comes_out)
        _row(sheet, first + stops.index(item), item.key, cells, STOP_FIELDS, STOP_FIELDS)
    if not stops:
        sheets.put(sheet.cell(first, 2), "Nothing is waiting on this board.").alignment = sheets.ONE_LINE
    _validate(sheet, first, len(stops), len(titles) + 2, STOP_FIELDS)
    sheets.fit_rows(sheet, first)


def _steps(book: Workbook, board_steps: Sequence[Step]) -> None:
    used = tuple(field for field in ALL_TICKS if any(field in item.ticks for item in board_steps))
    sheet = _sheet(book, "Steps", (6, 10, 10, 26, 34, 40, 30, 40, 22, *(11 for _ in used)))
    sheets.put(sheet["B1"], "Steps, one part at a time").font = Font(name="Calibri", bold=True, size=14)
    sheet["B1"].alignment = sheets.ONE_LINE
    titles = ("Step", "Position", "Do", "Where", "Comes out", "Goes in", "Which way", "Notes", "Danger")
    _columns(sheet, 2, titles, used)
    for offset, item in enumerate(board_steps):
        goes_in = item.goes_in or (f"If it fails: {item.if_it_fails}" if item.if_it_fails else "")
        line = f" ({item.line})" if item.line and goes_in else ""
        unchecked = (f"Not checked for want of data: {', '.join(item.not_checked)}.",) if item.not_checked else ()
        notes = (*item.form, *item.notes, *unchecked)
        photo = f"; photo {item.photo}" if item.photo else ""
        cells = (
            item.number,
            item.place,
            item.title,
            item.where + photo,
            item.comes_out,
            goes_in + line,
            item.orientation,
            "\n".join(notes),
            "\n".join(item.hazards),
        )
        _row(sheet, 4 + offset, item.key, cells, used, item.ticks)
        for column in (3, 7, 8, 10):
            sheet.cell(4 + offset, column).font = Font(name="Calibri", bold=True)
    _validate(sheet, 4, len(board_steps), len(titles) + 2, used)
    sheets.fit_rows(sheet, 3)
    sheet.freeze_panes = "D4"
    sheet.print_title_rows = "3:3"


def _readings(book: Workbook, board_steps: Sequence[Step]) -> None:
    fields = (*_READINGS, RESULT, REMARKS)
    sheet = _sheet(book, "Readings", (6, 12, *(10 for _ in _READINGS), 18, 40))
    sheets.put(sheet["B1"], "Readings and result").font = Font(name="Calibri", bold=True, size=14)
    sheet["B1"].alignment = sheets.ONE_LINE
    titles = ("Step", "Position")
    _columns(sheet, 2, titles, fields)
    for offset, item in enumerate(board_steps):
        _row(sheet, 4 + offset, item.key, (item.number, item.place), fields, (*item.readings, RESULT, REMARKS))
    _validate(sheet, 4, len(board_steps), len(titles) + 2, fields)
    sheets.fit_rows(sheet, 3)
    sheet.freeze_panes = "D4"
    sheet.print_title_rows = "3:3"


def _left_alone(book: Workbook, work: BoardWork) -> None:
    sheet = sheets.add_sheet(book, "Left alone")
    sheets.widths(sheet, (12, 60, 80))
    sheets.title(sheet, "Stays as it is")
    sheets.head(sheet, 3, ("Position", "Is there", "Why"))
    empty = [(place(p.key), "empty by design: fit nothing", p.note) for p in work.do_not_fit]
    kept = [(place(j.key), old_part(j.position), why(j)) for j in work.left_alone]
    sheets.rows(sheet, 4, (*empty, *kept))
    sheets.fit_rows(sheet, 3)


def _sheet(book: Workbook, title: str, sizes: Sequence[float]) -> Worksheet:
    sheet = sheets.add_sheet(book, title)
    sheets.widths(sheet, (4, *sizes))
    sheet.column_dimensions["A"].hidden = True
    return sheet


def _named(sheet: Worksheet, row: int, name: str, label: str, value: str) -> int:
    sheets.put(sheet.cell(row, 1), FIELD_MARK + name)
    sheets.put(sheet.cell(row, 2), label).font = Font(name="Calibri", bold=True)
    sheets.put(sheet.cell(row, 3), value).border = sheets.BOX
    return row + 1


def _lines(sheet: Worksheet, row: int, title: str, lines: Sequence[str]) -> int:
    if not lines:
        return row
    sheets.put(sheet.cell(row, 2), title).font = Font(name="Calibri", bold=True)
    for offset, text in enumerate(lines, start=1):
        sheets.put(sheet.cell(row + offset, 2), text).alignment = sheets.ONE_LINE
    return row + len(lines) + 1


def _columns(sheet: Worksheet, row: int, titles: Sequence[str], fields: Sequence[WorkField]) -> None:
    sheets.put(sheet.cell(row, 1), COLUMNS_MARK)
    for column, field in enumerate(fields, start=len(titles) + 2):
        sheets.put(sheet.cell(row, column), field.id)
    sheet.row_dimensions[row].hidden = True
    sheets.head(sheet, row + 1, (*titles, *(_heading(field) for field in fields)), column=2)


def _heading(field: WorkField) -> str:
    unit = f" {field.unit}" if field.unit else ""
    return f"{field.group}: {field.label}{unit}" if field.group else f"{field.label}{unit}"


def _row(
    sheet: Worksheet,
    row: int,
    key: str,
    cells: Sequence[str | int],
    fields: Sequence[WorkField],
    needed: Sequence[WorkField],
) -> None:
    sheets.put(sheet.cell(row, 1), key)
    sheets.rows(sheet, row, (cells,), column=2)
    for column, field in enumerate(fields, start=len(cells) + 2):
        cell = sheet.cell(row, column)
        cell.border = sheets.BOX
        cell.alignment = sheets.WRAP
        cell.fill = sheets.ENTRY_FILL if field in needed else sheets.NOT_NEEDED_FILL
        if field.kind is FieldKind.READING:
            cell.number_format = "0.####"


def _validate(sheet: Worksheet, first: int, count: int, column: int, fields: Sequence[WorkField]) -> None:
    if count == 0:
        return
    for place_, field in enumerate(fields, start=column):
        rule = _validation(field)
        if rule is None:
            continue
        sheet.add_data_validation(rule)
        rule.add(f"{sheet.cell(first, place_).coordinate}:{sheet.cell(first + count - 1, place_).coordinate}")


def _validation(field: WorkField) -> DataValidation | None:
    if field.kind is FieldKind.TICK:
        rule = DataValidation(type="list", formula1='"yes"', allow_blank=True)
    elif field.kind is FieldKind.CHOICE:
        rule = DataValidation(type="list", formula1=f'"{",".join(field.choices)}"', allow_blank=True)
    elif field.kind is FieldKind.READING:
        rule = DataValidation(type="decimal", operator="greaterThanOrEqual", formula1="0", allow_blank=True)
        rule.errorStyle = "warning"
        rule.error = f"A number in {field.unit}. Keep the entry if it is meant, such as > 20."
    else:
        return None
    rule.promptTitle, rule.prompt = field.group or field.label, f"{field.label} {field.unit}".strip()
    rule.showErrorMessage = True
    return rule
