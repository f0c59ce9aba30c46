"""Reads what a person filled in: the workbook of a work order or a bring-up, or the file that its page saves."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from recap.bench.bring_up_fields import BRING_UP, BRING_UP_FIELDS, WORK_ORDER
from recap.bench.expected_json import from_json
from recap.bench.work_fields import BOARD_FIELDS, READINGS_FORMAT
from recap.intake.cells import Sheet, read_sheets
from recap.model.sign_off import Expected
from recap.problem_codes import report
from recap.problems import Problem, UnreadableFile

COLUMNS_MARK = "recap:columns"
"""Stands in column A of the hidden row that names the columns' fields."""
FIELD_MARK = "recap:field:"
"""Begins column A of a row that holds one field of the whole document."""
EXPECTED_MARK = "recap:expected"
"""Stands in column A of the rows that carry, piece by piece, what a sign-off expects."""

Entry = str | bool | float

_ABOUT = ("plan", "unit", "board", "document")
_FIELDS = {known.id for known in (*BOARD_FIELDS, *BRING_UP_FIELDS)}


@dataclass(slots=True)
class Filled:
    """The entries of one document; only what was filled in is there."""

    plan: str = ""
    unit: str = ""
    board: str = ""
    document: str = WORK_ORDER
    board_fields: dict[str, Entry] = field(default_factory=dict)
    positions: dict[str, dict[str, Entry]] = field(default_factory=dict)
    beside: int = 0
    """Rows with entries that belong to no position."""
    expected: Expected | None = None
    problems: list[Problem] = field(default_factory=list, compare=False)
    """What is to be said of the file: rows that are hidden, and cells that look empty and are not."""

    @property
    def anything(self) -> bool:
        """Whether a person entered something."""
        return bool(self.board_fields) or bool(self.positions) or bool(self.beside)


def read_filled(path: Path) -> Filled:
    """Return what was filled in; raises UnreadableFile when it is no document of ours."""
    if path.suffix.lower() in (".html", ".htm"):
        raise UnreadableFile(f"{path} is the page; open it and use “Save readings to a file”, then give that file")
    try:
        filled = _from_page(path) if path.suffix.lower() == ".json" else _from_workbook(path)
    except (OSError, ValueError, KeyError, RecursionError) as error:
        raise UnreadableFile(f"{path} cannot be read as a filled work order or bring-up ({error})") from error
    if not filled.board and filled.document != BRING_UP:
        raise UnreadableFile(f"{path} is no work order: it does not name its board")
    return filled


def _from_page(path: Path) -> Filled:
    saved = json.loads(path.read_text(encoding="utf-8-sig"))
    if not isinstance(saved, dict) or saved.get("format") != READINGS_FORMAT:
        raise ValueError(f'not a file of "{READINGS_FORMAT}"')
    filled = Filled(
        str(saved.get("plan", "")),
        str(saved.get("unit", "")),
        str(saved.get("board", "")),
        str(saved.get("document") or WORK_ORDER),
    )
    filled.board_fields = _entries(saved.get("board_fields"))
    positions = saved.get("positions")
    if isinstance(positions, dict):
        filled.positions = {str(key): _entries(entries) for key, entries in positions.items()}
    if saved.get("expected") is not None:
        filled.expected = from_json(saved["expected"])
    return filled


def _entries(entries: Any) -> dict[str, Entry]:
    if not isinstance(entries, dict):
        return {}
    return {str(name): value for name, value in entries.items() if isinstance(value, str | bool | int | float)}


def read_text_rows(path: Path) -> list[list[Any]]:
    """Return the rows of every sheet of a workbook that have something in column A; raises UnreadableFile."""
    sheets, _ = read_sheets(path)
    return [list(row) for sheet in sheets for row in sheet.rows if row and row[0]]


def _from_workbook(path: Path) -> Filled:
    sheets, _ = read_sheets(path)
    filled = Filled()
    pieces: list[str] = []
    for sheet in sheets:
        _read_sheet(sheet, filled, pieces)
    if pieces:
        filled.expected = from_json(json.loads("".join(pieces)))
    return filled


def _read_sheet(sheet: Sheet, filled: Filled, pieces: list[str]) -> None:
    """Read a sheet whose headings follow directly on the hidden row that names its columns."""
    names: tuple[Any, ...] = ()
    headings = False
    damaged = {row for row, _ in sheet.damage}
    for row, (mark, *cells) in ((number, cells) for number, cells in enumerate(sheet.rows) if cells):
        if mark == COLUMNS_MARK:
            names, headings = tuple(cells), True
        elif not mark:
            filled.beside += not headings and any(name and cell for name, cell in zip(names, cells, strict=False))
            headings = False
        elif mark == EXPECTED_MARK:
            pieces.append(str(cells[0]))
        elif str(mark).startswith(FIELD_MARK):
            _field(str(mark).removeprefix(FIELD_MARK), cells[1] if len(cells) > 1 else None, filled)
        elif names:
            entries = {
                str(name): _entry(value)
                for name, value in zip(names, cells, strict=False)
                if name and value not in (None, "")
            }
            if entries:
                filled.positions.setdefault(str(mark), {}).update(entries)
            if row in damaged:
                found = (sheet.damage_at(row, column) for column, name in enumerate(names, start=1) if name)
                filled.problems += filter(None, found)
            if row + 1 in sheet.hidden_rows:
                message = f"the row of {mark} is hidden; it was read like any other"
                filled.problems.append(report("hidden-rows", message, sheet.location(row)))


def _field(name: str, value: Any, filled: Filled) -> None:
    if value in (None, ""):
        return
    if name in _ABOUT:
        setattr(filled, name, str(value))
    elif name in _FIELDS:
        filled.board_fields[name] = _entry(value)


def _entry(value: Any) -> Entry:
    if isinstance(value, str):
        return True if value.strip().lower() == "yes" else value.strip()
    return value if isinstance(value, bool | int | float) else str(value)
