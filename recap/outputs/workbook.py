"""The shopping workbook."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from recap.outputs import sheets
from recap.outputs.purchase_tables import order_tables
from recap.outputs.shopping import Table, tables

if TYPE_CHECKING:
    from openpyxl import Workbook

    from recap.model import Plan
    from recap.problems import Problem

_COUNTER = "May differ without asking"
"""From this heading on, columns go to a sheet of their own, so that the list itself fits a page."""
_DETAIL_WIDTHS = (8, 36, 50, 50, 50)


def write_shopping_workbook(plan: Plan, problems: Sequence[Problem], path: Path) -> None:
    """Write the shopping list, what goes with it and what is still open, one sheet each."""
    book = sheets.new_book()
    names = ", ".join(unit.name for unit in plan.inspection.units)
    first, *others = tables(plan, problems)
    for table in (first, *order_tables(plan), *others):
        if _COUNTER in table.headings:
            counter = table.headings.index(_COUNTER)
            _write(book, _columns(table, table.title, range(counter)), names)
            about = (table.headings.index("Line"), table.headings.index("Where used"))
            details = _columns(table, f"{table.title}, notes", (*about, *range(counter, len(table.headings))))
            if table.rows:
                _write(book, replace(details, widths=_DETAIL_WIDTHS[: len(details.widths)]), names)
        else:
            _write(book, table, names)
    book.save(path)


def _columns(table: Table, title: str, chosen: Iterable[int]) -> Table:
    """Return some columns of a table, without those that stand empty in every row."""
    kept = [i for i in chosen if not table.rows or any(row[i] not in ("", None) for row in table.rows)]
    return Table(
        title,
        tuple(table.headings[i] for i in kept),
        tuple(table.widths[i] for i in kept),
        tuple(tuple(row[i] for i in kept) for row in table.rows),
        table.empty,
    )


def _write(book: Workbook, table: Table, names: str) -> None:
    sheet = sheets.add_sheet(book, table.title)
    sheets.widths(sheet, table.widths)
    sheets.title(sheet, table.title, f"For {names}")
    sheets.head(sheet, 4, table.headings)
    sheets.rows(sheet, 5, table.rows)
    if not table.rows:
        sheets.put(sheet["A5"], table.empty).alignment = sheets.ONE_LINE
    sheets.fit_rows(sheet, 4)
    sheet.freeze_panes = "B5" if table.headings[0] == "Line" else "A5"
    sheet.print_title_rows = "4:4"
    if table.rows:
        last = sheet.cell(4 + len(table.rows), len(table.headings)).coordinate
        sheet.auto_filter.ref = f"A4:{last}"
