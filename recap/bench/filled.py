"""Reads what a person filled in: the work order's workbook, or the file that its page saves."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from recap.bench.work_fields import BOARD_FIELDS, READINGS_FORMAT
from recap.problems import UnreadableFile

COLUMNS_MARK = "recap:columns"
"""Stands in column A of the hidden row that names the columns' fields."""
FIELD_MARK = "recap:field:"
"""Begins column A of a row that holds one field of the whole board."""

Entry = str | bool | float


@dataclass(slots=True)
class Filled:
    """The entries of one board; only what was filled in is there."""

    plan: str = ""
    unit: str = ""
    board: str = ""
    board_fields: dict[str, Entry] = field(default_factory=dict)
    positions: dict[str, dict[str, Entry]] = field(default_factory=dict)

    @property
    def anything(self) -> bool:
        """Whether a person entered something."""
        return bool(self.board_fields) or bool(self.positions)


def read_filled(path: Path) -> Filled:
    """Return what was filled in; raises UnreadableFile when it is no work order of ours."""
    try:
        filled = _from_page(path) if path.suffix.lower() == ".json" else _from_workbook(path)
    except (OSError, ValueError, KeyError) as error:
        raise UnreadableFile(f"{path} cannot be read as a filled work order ({error})") from error
    if not filled.board:
        raise UnreadableFile(f"{path} is no work order: it does not name its board")
    return filled


def _from_page(path: Path) -> Filled:
    saved = json.loads(path.read_text(encoding="utf-8"))
    if not isinstance(saved, dict) or saved.get("format") != READINGS_FORMAT:
        raise ValueError(f'not a file of "{READINGS_FORMAT}"')
    filled = Filled(str(saved.get("plan", "")), str(saved.get("unit", "")), str(saved.get("board", "")))
    filled.board_fields = _entries(saved.get("board_fields"))
    positions = saved.get("positions")
    if isinstance(positions, dict):
        filled.positions = {str(key): _entries(entries) for key, entries in positions.items()}
    return filled


def _entries(entries: Any) -> dict[str, Entry]:
    if not isinstance(entries, dict):
        return {}
    return {str(name): value for name, value in entries.items() if isinstance(value, str | bool | int | float)}


def _from_workbook(path: Path) -> Filled:
    from zipfile import BadZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        book = load_workbook(path, read_only=True, data_only=True)
    except (BadZipFile, InvalidFileException) as error:
        raise ValueError("not a workbook") from error
    filled = Filled()
    try:
        for sheet in book.worksheets:
            _read_sheet(sheet.iter_rows(values_only=True), filled)
    finally:
        book.close()
    return filled


def _read_sheet(rows: Iterable[tuple[Any, ...]], filled: Filled) -> None:
    names: tuple[Any, ...] = ()
    for mark, *cells in ((row[0], *row[1:]) for row in rows if row and row[0]):
        if mark == COLUMNS_MARK:
            names = tuple(cells)
        elif str(mark).startswith(FIELD_MARK):
            _board_field(str(mark).removeprefix(FIELD_MARK), cells[1] if len(cells) > 1 else None, filled)
        elif names:
            entries = {
                str(name): _entry(value)
                for name, value in zip(names, cells, strict=False)
                if name and value not in (None, "")
            }
            if entries:
                filled.positions.setdefault(str(mark), {}).update(entries)


def _board_field(name: str, value: Any, filled: Filled) -> None:
    if value in (None, ""):
        return
    if name in ("plan", "unit", "board"):
        setattr(filled, name, str(value))
    elif any(name == known.id for known in BOARD_FIELDS):
        filled.board_fields[name] = _entry(value)


def _entry(value: Any) -> Entry:
    if isinstance(value, str):
        return True if value.strip().lower() == "yes" else value.strip()
    return value if isinstance(value, bool | int | float) else str(value)
