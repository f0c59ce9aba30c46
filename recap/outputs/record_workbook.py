"""The record of one unit as a workbook."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from recap.bench.sign_off import bring_up_of, rail_verdicts
from recap.outputs import entry_sheets, sheets
from recap.outputs import sign_off_words as words
from recap.outputs.record import RECORD_MARK, record_of

if TYPE_CHECKING:
    from openpyxl import Workbook

    from recap.model.sign_off import UnitVerdict

_WORKED_ON = ("replace", "reform", "measure", "stop", "refer")


def write_record_workbook(unit: UnitVerdict, path: Path) -> None:
    """Write the record."""
    book = sheets.new_book()
    _summary(book, unit)
    rows = [
        (words.row_name(board, row), str(row.kind), row.about, words.before(row), words.afterwards(row),
         words.WORDS[row.verdict])
        for board in unit.boards
        for row in board.rows
        if row.kind in _WORKED_ON
    ]  # fmt: skip
    titles = ("Position", "Done", "Why", "Before", "Afterwards", "Verdict")
    _table(book, "Positions", titles, (16, 12, 46, 44, 60, 20), rows)
    _table(
        book,
        "Rails",
        ("Rail", "Verdict", "Readings"),
        (14, 22, 120),
        (
            (name, words.WORDS[verdict], "\n".join(words.readings(row) for row in rows))
            for name, (verdict, rows) in rail_verdicts(unit).items()
        ),
    )
    bring_up = bring_up_of(unit)
    checks = [
        (words.row_name(bring_up, row), words.WORDS[row.verdict], words.readings(row))
        for row in (bring_up.rows if bring_up else ())
        if bring_up and row.kind in ("check", "stage")
    ]
    _table(book, "Checks", ("Check", "Verdict", "Found"), (90, 22, 60), checks)
    _table(book, "Left alone", ("Position", "Why"), (18, 110), words.left_alone(unit))
    text = json.dumps(record_of(unit), ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    entry_sheets.carry(book, text, RECORD_MARK)
    book.save(path)


def _summary(book: Workbook, unit: UnitVerdict) -> None:
    sheet = sheets.add_sheet(book, "Record")
    sheets.widths(sheet, (26, 24, 60, 70))
    sheets.title(sheet, f"Record of the work: {unit.unit}")
    facts = (
        ("Serial", unit.serial),
        ("Date", unit.date or "not given"),
        ("Verdict", words.WORDS[unit.verdict]),
        ("Look again by", unit.next_look or "not worked out"),
        ("Why then", unit.next_look_why),
        ("Plan", ", ".join(unit.plans)),
    )
    row = sheets.rows(sheet, 3, facts) + 1
    sheets.head(sheet, row, ("Board", "Verdict", "Positions", "Signed"))
    row = sheets.rows(
        sheet,
        row + 1,
        (
            (words.board_name(board), words.WORDS[board.verdict], words.position_counts(board),
             "; ".join(f"{label}: {text}" for label, text in board.signed if text))
            for board in unit.boards
        ),
    )  # fmt: skip
    for title, texts in (
        ("Failed", words.failures(unit)),
        ("Not there yet", words.lacking_by_row(unit)),
        ("Remarks", words.remarks(unit)),
    ):
        if texts:
            entry_sheets.title(sheet, f"A{row + 1}", title, 12)
            for offset, text in enumerate(entry_sheets.broken(texts), start=row + 2):
                sheets.put(sheet.cell(offset, 1), text).alignment = sheets.ONE_LINE
            row += 2 + len(entry_sheets.broken(texts))
    sheets.fit_rows(sheet, 3)


def _table(
    book: Workbook, name: str, titles: Sequence[str], sizes: Sequence[float], rows: Iterable[Sequence[str]]
) -> None:
    sheet = sheets.add_sheet(book, name)
    sheets.widths(sheet, sizes)
    sheets.title(sheet, name)
    sheets.head(sheet, 3, titles)
    sheets.rows(sheet, 4, rows)
    sheets.fit_rows(sheet, 3)
    sheet.freeze_panes = "B4"
    sheet.print_title_rows = "3:3"
