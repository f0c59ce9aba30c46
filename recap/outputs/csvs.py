"""The shopping list as csv, for programs and sellers' upload forms."""

from __future__ import annotations

import csv
import re
from io import StringIO
from typing import TYPE_CHECKING

from recap.outputs.shopping import Cell, shopping_list

if TYPE_CHECKING:
    from recap.model import Plan

_RISKY = re.compile(r"'*(?:[\t\r\n]|\s*[=+\-@＝＋－＠])")
"""What a spreadsheet program takes for a formula, and what would read back as such a text once escaped."""
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?")


def shopping_csv(plan: Plan) -> str:
    """Return the shopping list as csv text with commas and decimal points."""
    table = shopping_list(plan)
    stream = StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(table.headings)
    writer.writerows([safe(cell) for cell in row] for row in table.rows)
    return stream.getvalue()


def looks_like_formula(text: str) -> bool:
    """Tell whether a spreadsheet program would take a text for a formula, or for anything but this text."""
    return bool(_RISKY.match(text))


def safe(cell: Cell) -> str:
    """Return a cell's text with an apostrophe before what a spreadsheet program would take for a formula.

    >>> safe("=1+1"), safe("-5"), safe(-5.0), safe("@x"), safe(12.0), safe("'=1")
    ("'=1+1", '-5', '-5', "'@x", '12', "''=1")
    """
    if cell is None:
        return ""
    if isinstance(cell, int | float):
        return f"{cell:g}" if abs(cell) < 1e6 else repr(cell)
    return f"'{cell}" if _RISKY.match(cell) and not _NUMBER.fullmatch(cell) else cell
