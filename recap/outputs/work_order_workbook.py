"""The work order of one board as a workbook to fill in: the same fields as on the page."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from openpyxl.styles import Font

from recap.bench.expected import expected_of_board
from recap.bench.expected_json import as_text
from recap.bench.work_fields import (
    AFTER,
    ALL_TICKS,
    BEFORE,
    BOARD_FIELDS,
    GOODS_IN,
    REMARKS,
    RESULT,
    STOP_FIELDS,
)
from recap.outputs import entry_sheets, sheets
from recap.outputs.inspection_rows import with_sheets
from recap.outputs.life_picture import life_picture
from recap.outputs.life_table import life_table
from recap.outputs.page import make_safe_of, make_safe_steps
from recap.outputs.steps import Step, board_notes, gathered, step, steps
from recap.outputs.words import old_part, place, why

if TYPE_CHECKING:
    from collections.abc import Sequence

    from openpyxl import Workbook

    from recap.model import BoardWork, Plan

_READINGS = (*BEFORE, *GOODS_IN, *AFTER)


def write_work_order_workbook(plan: Plan, work: BoardWork, digest: str, path: Path) -> None:
    """Write the workbook of one board."""
    book = sheets.new_book()
    board_steps = steps(plan, work)
    _start(book, plan, work, digest)
    _steps(book, board_steps)
    _readings(book, board_steps)
    _life(book, plan, work)
    _left_alone(book, work)
    entry_sheets.carry(book, as_text(with_sheets(plan, expected_of_board(plan, work, digest))))
    book.save(path)


def _start(book: Workbook, plan: Plan, work: BoardWork, digest: str) -> None:
    sheet = entry_sheets.sheet(book, "Stop list", (18, 34, 60, 46, 12, 46))
    entry_sheets.title(sheet, "B1", f"Work order: {work.board}")
    facts = (("unit", "Unit", work.unit), ("board", "Board", work.board), ("plan", "Plan", digest))
    row = 2
    for name, label, value in facts:
        row = entry_sheets.named(sheet, row, name, label, value)
    for field in BOARD_FIELDS:
        row = entry_sheets.named(sheet, row, field.id, field.label, "")
        sheet.cell(row - 1, 3).fill = sheets.ENTRY_FILL
    board = plan.inspection.unit(work.unit).board(work.board)
    row = entry_sheets.lines(sheet, row + 1, "Before you touch it", make_safe_steps(plan, work.unit, work.board))
    safe = make_safe_of(plan, work.unit, work.board)
    if safe:
        row = entry_sheets.lines(sheet, row + 1, "Caution", (*safe.cautions, *safe.out_of_scope))
    row = entry_sheets.lines(sheet, row + 1, "This board", board_notes(board))
    entry_sheets.title(sheet, f"B{row + 1}", "Stop: settle these first", 13)
    row += 2
    titles = ("Position", "Where", "What must be settled", "Is there now")
    entry_sheets.columns(sheet, row, titles, STOP_FIELDS)
    first = row + 2
    stops = [step(plan, judgement) for judgement in work.stops]
    for item in stops:
        texts = (*(item.judgement.stops or (item.why,)), *(f"Danger: {text}" for text in item.hazards))
        cells = (item.place, item.where, "\n".join(texts), item.comes_out)
        entry_sheets.row(sheet, first + stops.index(item), item.key, cells, STOP_FIELDS, STOP_FIELDS)
    if not stops:
        sheets.put(sheet.cell(first, 2), "Nothing is waiting on this board.").alignment = sheets.ONE_LINE
    entry_sheets.validate(sheet, first, len(stops), len(titles) + 2, STOP_FIELDS)
    sheets.fit_rows(sheet, first)


def _steps(book: Workbook, board_steps: Sequence[Step]) -> None:
    used = tuple(field for field in ALL_TICKS if any(field in item.ticks for item in board_steps))
    sheet = entry_sheets.sheet(book, "Steps", (5, 9, 9, 18, 24, 34, 20, 36, 20, *(4.5 for _ in used)))
    entry_sheets.title(sheet, "B1", "Steps, one part at a time")
    titles = ("Step", "Position", "Do", "Where", "Comes out", "Goes in", "Which way", "Notes", "Danger")
    entry_sheets.columns(sheet, 2, titles, used)
    said = {item.key: notes for card in gathered(board_steps) for item, notes in card.notes_by_step()}
    for offset, item in enumerate(board_steps):
        goes_in = item.goes_in or (f"If it fails: {item.if_it_fails}" if item.if_it_fails else "")
        line = f" ({item.line})" if item.line and goes_in else ""
        unchecked = (f"Not checked for want of data: {', '.join(item.not_checked)}.",) if item.not_checked else ()
        life = (f"Should last {item.life}.",) if item.life else ()
        notes = (*item.form, *item.handwork, *said[item.key], *life, *unchecked)
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
        entry_sheets.row(sheet, 4 + offset, item.key, cells, used, item.ticks)
        for column in (3, 7, 8, 10):
            sheet.cell(4 + offset, column).font = Font(name="Calibri", bold=True)
    entry_sheets.validate(sheet, 4, len(board_steps), len(titles) + 2, used)
    sheets.fit_rows(sheet, 4)
    for column in range(len(titles) + 2, len(titles) + 2 + len(used)):
        sheet.cell(3, column).alignment = sheets.UPRIGHT
    sheet.row_dimensions[3].height = 140
    sheet.freeze_panes = "D4"
    sheet.print_title_rows = "3:3"


def _readings(book: Workbook, board_steps: Sequence[Step]) -> None:
    fields = (*_READINGS, RESULT, REMARKS)
    sheet = entry_sheets.sheet(book, "Readings", (6, 12, *(10 for _ in _READINGS), 18, 40))
    entry_sheets.title(sheet, "B1", "Readings and result")
    titles = ("Step", "Position")
    entry_sheets.columns(sheet, 2, titles, fields)
    for offset, item in enumerate(board_steps):
        needed = (*item.readings, RESULT, REMARKS)
        entry_sheets.row(sheet, 4 + offset, item.key, (item.number, item.place), fields, needed)
    entry_sheets.validate(sheet, 4, len(board_steps), len(titles) + 2, fields)
    sheets.fit_rows(sheet, 3)
    sheet.freeze_panes = "D4"
    sheet.print_title_rows = "3:3"


def _life(book: Workbook, plan: Plan, work: BoardWork) -> None:
    picture = life_picture(plan, work)
    if not picture.rows:
        return
    found = life_table(picture.rows)
    sheet = sheets.add_sheet(book, "Life")
    sheets.widths(sheet, (24, 62, 62, 10))
    sheets.title(sheet, "How long it lasts here, estimated")
    sheets.head(sheet, 3, found.headings)
    numbers = [", ".join(map(str, line.notes)) for line in found.lines]
    rows = [
        (", ".join(line.names), "\n".join(line.as_found) or "–", "\n".join(line.planned) or "–", number)
        for line, number in zip(found.lines, numbers, strict=True)
    ]
    below = sheets.rows(sheet, 4, rows) + 1
    sheets.fit_rows(sheet, 3)
    without = [f"No estimate: {', '.join(picture.without)}."] if picture.without else []
    for offset, text in enumerate((*(f"{n}. {note}" for n, note in enumerate(found.notes, 1)), *without)):
        sheets.put(sheet.cell(below + offset, 1), text).alignment = sheets.ONE_LINE
    sheet.freeze_panes = "B4"
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
